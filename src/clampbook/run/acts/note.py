"""A note: at the step at hand, or about an older line."""

from __future__ import annotations

from clampbook import text as foreign
from clampbook.ledger.stamp import Stamp
from clampbook.run import events as e
from clampbook.run.acts.at_hand import step_of
from clampbook.run.answers import Accepted, Note, Refused
from clampbook.run.fold.acts import Act
from clampbook.run.fold.line import Line
from clampbook.run.gather.draft import Draft, Part
from clampbook.run.kinds.kind import Next, Outcome, Tools
from clampbook.run.kinds.stamping import aside
from clampbook.run.plan import Plan
from clampbook.run.progress import Progress
from clampbook.run.prompts import Prompt
from clampbook.run.session import Session

MOST_NOTE = 2000  # characters


def complete(prompt: Prompt, session: Session, draft: Draft) -> Next:
    """Its text."""
    del prompt, session
    return Note(draft.text("text")) if draft.has("text") else Part("text", "Type the note.", "line")


def decide(session: Session, prompt: Prompt, answer: Note, stamp: Stamp) -> Outcome:
    """A note at the step at hand, or about an older line."""
    text = foreign.clean(answer.text, what="the note", most=MOST_NOTE)
    if not text:
        return Refused("The note is empty. Type words.")
    if answer.about is not None and not 0 < answer.about <= session.progress.seq:
        return Refused(f"This daybook has {session.progress.seq} lines, no line {answer.about}.")
    return Accepted(e.Noted(**aside(session, stamp, prompt), text=text, step=step_of(prompt), about=answer.about))


def fold(plan: Plan, progress: Progress, event: e.Noted) -> Progress:
    """It changes nothing."""
    del plan, event
    return progress


def acts(line: Line, event: e.Noted) -> tuple[Act, ...]:
    """Nothing is done on the work itself."""
    del line, event
    return ()


def tell(event: e.Noted, plan: Plan, tools: Tools) -> str:
    """That it stands there."""
    del event, plan, tools
    return "Noted."
