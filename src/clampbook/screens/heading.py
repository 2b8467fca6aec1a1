"""The top line of the walk: what is done and by which revision, where in the work, and who is there."""

from __future__ import annotations

from clampbook.run.details import where_of
from clampbook.run.prompts import Prompt
from clampbook.run.session import Session
from clampbook.text import printable

_LEAST = 8  # columns; a shorter title says nothing


def heading(prompt: Prompt, session: Session, width: int) -> str:
    """One line of this many columns; the title gives way to the step."""
    right = printable(f"{_step(prompt, session)} · {_person(session)}")
    plan = session.plan
    named = (plan.title, plan.joint, session.progress.unit, f"revision {plan.revision}, {plan.status}")
    left = printable(" · ".join(part for part in named if part))
    space = width - len(right) - 2
    if len(left) > space:
        left = f"{left[: space - 1]}…" if space > _LEAST else ""
    return f"{left}{' ' * max(width - len(left) - len(right), 0)}{right}"


def _step(prompt: Prompt, session: Session) -> str:
    where = where_of(prompt)
    if where is None:
        return f"{len(session.plan.steps)} steps"
    again = f", again {where.again[0]} of {where.again[1]}" if where.again is not None else ""
    return f"step {where.number} of {where.of}{again}"


def _person(session: Session) -> str:
    """Who is at the keyboard, and whose hands do the work where those are another's."""
    names = {person.id: person.name for person in session.people}
    by, hands = session.progress.by, session.progress.hands
    return f"{names.get(hands, hands)}, typed by {names.get(by, by)}" if hands else names.get(by, by)
