"""A number that came from a tool where none was asked for is saved, with the position it belongs to."""

from __future__ import annotations

from clampbook import text as foreign
from clampbook.ledger.stamp import Stamp
from clampbook.run import events as e
from clampbook.run.acts.at_hand import NO_SUCH_BOLT, NONE_OF_THEM, step_of
from clampbook.run.answers import Accepted, Arrived, Refused
from clampbook.run.fold.acts import Act
from clampbook.run.fold.line import Line
from clampbook.run.gather.asking import labels
from clampbook.run.gather.draft import Draft, Part
from clampbook.run.kinds.kind import Next, Outcome, Tools
from clampbook.run.kinds.stamping import aside
from clampbook.run.plan import Plan
from clampbook.run.progress import Progress
from clampbook.run.prompts import Prompt
from clampbook.run.session import Session
from clampbook.run.told.joints import at_hand_key
from clampbook.run.told.places import bolt_at


def complete(prompt: Prompt, session: Session, draft: Draft) -> Next:
    """Ask which position it belongs to."""
    if not draft.has("position"):
        positions = tuple(session.plan.group_of)
        text = f"{draft.text('text')} came in unasked. Which bolt is it for?"
        return Part("position", text, "choice", (*labels(positions, at_hand_key(session.plan, prompt)), NONE_OF_THEM))
    return Arrived(draft.text("text"), None if draft.text("position") == NONE_OF_THEM.value else draft.text("position"))


def decide(session: Session, prompt: Prompt, answer: Arrived, stamp: Stamp) -> Outcome:
    """A line from a tool where none was asked for is saved, with the position it belongs to."""
    text = foreign.clean(answer.text, what="the line", most=200)
    if answer.belongs_to is not None and answer.belongs_to not in session.plan.group_of:
        return Refused(NO_SUCH_BOLT.format(foreign.printable(answer.belongs_to)))
    return Accepted(
        e.ArrivedUnasked(**aside(session, stamp, prompt), text=text, step=step_of(prompt), belongs_to=answer.belongs_to)
    )


def fold(plan: Plan, progress: Progress, event: e.ArrivedUnasked) -> Progress:
    """It changes nothing."""
    del plan, event
    return progress


def acts(line: Line, event: e.ArrivedUnasked) -> tuple[Act, ...]:
    """Nothing is done on the work itself."""
    del line, event
    return ()


def tell(event: e.ArrivedUnasked, plan: Plan, tools: Tools) -> str:
    """Tell what is saved, and for which bolt."""
    del tools
    belongs = bolt_at(event.belongs_to, plan) if event.belongs_to else "no bolt"
    return f"Saved: {event.text}, for {belongs}."
