"""A note: at the step at hand, or about an older line."""

from __future__ import annotations

from clampbook import text as foreign
from clampbook.ledger.stamp import Stamp, clock_there, in_utc
from clampbook.procedure.naming import OF_JOINT
from clampbook.run import events as e
from clampbook.run.acts.at_hand import NO_SUCH_BOLT, step_of
from clampbook.run.answers import Accepted, Note, Refused
from clampbook.run.fold.acts import Act
from clampbook.run.fold.line import Line
from clampbook.run.gather.asking import whose_initials
from clampbook.run.gather.draft import Draft, Part
from clampbook.run.kinds.kind import Next, Outcome, Tools
from clampbook.run.kinds.stamping import aside
from clampbook.run.on_form.now_typed import stands_on_form
from clampbook.run.plan import Plan
from clampbook.run.progress import Progress
from clampbook.run.prompts import Prompt
from clampbook.run.session import Session
from clampbook.run.told.places import bolt_at

MOST_NOTE = 2000  # characters


def complete(prompt: Prompt, session: Session, draft: Draft) -> Next:
    """Its text; of a row of a form, which was typed with its time, whose initials stand there."""
    del prompt
    if not draft.has("text"):
        return Part("text", "Type the note.", "line")
    if not draft.has("time"):
        return Note(draft.text("text"))
    position = _position(session, draft.text("position"))
    if isinstance(position, Refused):
        return position
    at = stands_on_form(session, draft.text("time"))
    if isinstance(at, str):
        return Refused(at)
    if not draft.has("person"):
        return whose_initials(session)
    return Note(draft.text("text"), None, draft.text("time"), position, draft.person("person"))


def _position(session: Session, typed: str) -> str | Refused | None:
    """The position that a row belongs to, of several joints with its joint; None where it names none."""
    found = next((each for each in (typed, typed.replace(".", OF_JOINT)) if each in session.plan.group_of), None)
    return found if found or not typed else Refused(NO_SUCH_BOLT.format(foreign.printable(typed)))


def decide(session: Session, prompt: Prompt, answer: Note, stamp: Stamp) -> Outcome:
    """A note at the step at hand, or about an older line."""
    text = foreign.clean(answer.text, what="the note", most=MOST_NOTE)
    if not text:
        return Refused("The note is empty. Type words.")
    if answer.about is not None and not 0 < answer.about <= session.progress.seq:
        return Refused(f"This daybook has {session.progress.seq} lines, no line {answer.about}.")
    fields = aside(session, stamp, prompt)
    if answer.time is None:
        return Accepted(e.Noted(**fields, text=text, step=step_of(prompt), about=answer.about))
    at = stands_on_form(session, answer.time, stamp.typed)
    if isinstance(at, str):
        return Refused(at)
    row = e.Noted(**fields, text=text, stands=in_utc(at), position=answer.position, initials=answer.initials)
    return Accepted(row)


def fold(plan: Plan, progress: Progress, event: e.Noted) -> Progress:
    """It changes nothing."""
    del plan, event
    return progress


def acts(line: Line, event: e.Noted) -> tuple[Act, ...]:
    """Nothing is done on the work itself."""
    del line, event
    return ()


def tell(event: e.Noted, plan: Plan, tools: Tools) -> str:
    """That it stands there; of a row of a form with what it belongs to."""
    del tools
    if event.stands is None:
        return "Noted."
    told = (
        clock_there(event.stands, event.offset),
        *(() if event.position is None else (bolt_at(event.position, plan),)),
        "no initials" if event.initials is None else event.initials.name,
    )
    return f"Noted: {', '.join(told)}."
