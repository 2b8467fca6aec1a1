"""A value that is asked about, and was mistyped: which it was of several, what it is, and how that is known."""

from __future__ import annotations

from clampbook.figures import show_exactly
from clampbook.run.answers import Answer, Refused
from clampbook.run.fold.counts import AT_HAND, LEFT_OVER, item_at
from clampbook.run.fold.measured import all_points
from clampbook.run.gather.asking import KNOWN, KNOWN_WITHOUT_A_TOOL, numbered, put_right, you_entered
from clampbook.run.gather.draft import Draft, Part
from clampbook.run.progress import (
    COUNT_DIFFERS,
    OF_PARTS,
    SPREAD,
    TOO_MANY,
    Kept,
)
from clampbook.run.prompts import Decide
from clampbook.run.session import Session
from clampbook.run.told.places import bolt, place
from clampbook.text import started


def value_put_right(prompt: Decide, session: Session, draft: Draft) -> Part | Refused | Answer:
    if prompt.cause in OF_PARTS:
        return _count_put_right(prompt, session, draft)
    points = _points(prompt, session) if prompt.cause in (SPREAD, TOO_MANY) else {}
    if points and not draft.has("which"):
        told = {point: f"{point}, {_shown_there(prompt, kept)}" for point, kept in points.items()}
        return Part("which", "Which point was mistyped?", "choice", numbered(told))
    point = points.get(draft.text("which")) if points else None
    about = prompt.about if point is None else point.line
    if not draft.has("value"):
        named = bolt(prompt.where) if prompt.position is not None else place(prompt.where)
        if point is not None:
            return Part("value", you_entered(started(draft.text("which")), _shown_there(prompt, point)), "number")
        return Part("value", you_entered(named, _entered(prompt)), "number")
    from clampbook.run.acts.held_against import value_again  # the acts ask what is asked now, and so build on this

    text = value_again(session, draft, about)
    if not isinstance(text, str):
        return text
    if not draft.has("known"):
        ways = KNOWN_WITHOUT_A_TOOL if prompt.cause == COUNT_DIFFERS else KNOWN
        return Part("known", "How do you know?", "choice", numbered(ways))
    return put_right(text, draft, session, about)


def _points(prompt: Decide, session: Session) -> dict[str, Kept]:
    """The points that are judged together, any of which may have been mistyped."""
    return all_points(session.plan, session.progress, session.plan.steps[session.plan.index_of[prompt.where.id]])


def _shown_there(prompt: Decide, kept: Kept) -> str:
    """The value at a point, in the unit that it is judged in."""
    return show_exactly(kept.value, prompt.judged.unit if prompt.judged is not None else prompt.unit or "")


def _count_put_right(prompt: Decide, session: Session, draft: Draft) -> Part | Refused | Answer:
    """Ask which of two counts was mistyped, where both are held against each other, what it is, and how that is
    known."""
    items = session.progress.items
    name = item_at(session.progress, prompt.about).partition(":")[2]
    if prompt.cause == COUNT_DIFFERS and not draft.has("which"):
        counts = session.progress.counts
        told = {"left_over": f"left over, {counts[LEFT_OVER + name]}", "at_hand": f"at hand, {counts[AT_HAND + name]}"}
        return Part("which", "Which count was mistyped?", "choice", numbered(told))
    left_over = draft.text("which") == "left_over"
    if not draft.has("value"):
        asked = f"{name}: how many are left over?" if left_over else f"{name}: how many were at hand at the start?"
        return Part("value", asked, "number")
    if not draft.has("known"):
        return Part("known", "How do you know?", "choice", numbered(KNOWN_WITHOUT_A_TOOL))
    return put_right(draft.text("value"), draft, session, items[(LEFT_OVER if left_over else AT_HAND) + name])


def _entered(prompt: Decide) -> str | None:
    """Give what was typed of it: of a turn in strokes the stroke, where all of the turn was found."""
    judged = prompt.judged
    if judged is None or judged.typed is None:
        return prompt.found
    return show_exactly(judged.typed, judged.typed_unit or judged.unit)
