"""A value that is asked about, and was mistyped: which it was of several, what it is, and how that is known."""

from __future__ import annotations

from collections.abc import Mapping

from clampbook.figures import show_exactly
from clampbook.procedure.model import Measure
from clampbook.run.answers import Answer, Refused, TakeBack
from clampbook.run.fold.counts import AT_HAND, LEFT_OVER, item_at
from clampbook.run.fold.fastener import seated
from clampbook.run.fold.measured import all_points, before_it, kept_at
from clampbook.run.gather.asking import (
    KNOWN_OF_LOOSE,
    KNOWN_WITHOUT_A_TOOL,
    numbered,
    put_right,
    ways_known,
    you_entered,
)
from clampbook.run.gather.draft import Draft, Part
from clampbook.run.progress import (
    COUNT_DIFFERS,
    OF_PARTS,
    SPREAD,
    TOO_MANY,
    Kept,
    line_to_take_back,
    standing,
)
from clampbook.run.prompts import Decide
from clampbook.run.session import Session
from clampbook.run.told.places import bolt, place, within_a_sentence
from clampbook.text import started
from clampbook.tools.model import Tool

BEFORE, NOW = "before", "now"  # of two values, one of which is taken off the other


def value_put_right(prompt: Decide, session: Session, draft: Draft) -> Part | Refused | Answer:
    """Ask which of the values at hand was mistyped, what it is now, and how that is known; of a paper form the last
    answer is taken back, where it is that one, and its row is asked again."""
    several = prompt.cause in (SPREAD, TOO_MANY, COUNT_DIFFERS) or _earlier(prompt, session) is not None
    if not several and prompt.about == line_to_take_back(session.progress):
        return TakeBack()
    if prompt.cause in OF_PARTS:
        return _count_put_right(prompt, session, draft)
    earlier = _earlier(prompt, session)
    if earlier is not None:
        return _one_of_two_put_right(prompt, session, draft, *earlier)
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
    if about != prompt.about:  # it was put to the next point since
        return _known_again(session, draft, about, KNOWN_WITHOUT_A_TOOL)
    return _known_again(session, draft, about, ways_known(_by(prompt, session)))


def _by(prompt: Decide, session: Session) -> Tool | None:
    """The instrument that measured what is asked about, where one did."""
    step = session.plan.steps[session.plan.index_of[prompt.where.id]]
    found = kept_at(session.plan, session.progress, step, step.point or "") if step.kind == "measure" else None
    return None if found is None else found.by


def _known_again(session: Session, draft: Draft, about: int, ways: Mapping[str, str]) -> Part | Refused | Answer:
    """Ask what it is now, and how that is known."""
    from clampbook.run.acts.held_against import value_again  # the acts ask what is asked now, and so build on this

    text = value_again(session, draft, about)
    if not isinstance(text, str):
        return text
    if not draft.has("known") and not session.plan.late:
        return Part("known", "How do you know?", "choice", numbered(ways))
    return put_right(text, draft, session, about)


def _earlier(prompt: Decide, session: Session) -> tuple[Measure, Kept] | None:
    """The value that is taken off the one asked about, which may have been mistyped as well, and its stage."""
    if prompt.position is None or prompt.cause not in ("outside", "stretch beyond its window"):
        return None
    plan = session.plan
    kept = before_it(plan, session.progress, plan.steps[plan.index_of[prompt.where.id]])
    stage = None if kept is None else next((each for each in plan.stages if each.id == kept.name), None)
    return (stage, kept) if isinstance(stage, Measure) and kept is not None else None


def _one_of_two_put_right(
    prompt: Decide, session: Session, draft: Draft, stage: Measure, kept: Kept
) -> Part | Refused | Answer:
    """Ask which of two values was mistyped, where one is taken off the other."""
    entered = {BEFORE: show_exactly(kept.value, stage.unit), NOW: _entered(prompt)}
    judged = session.plan.stage_of(session.plan.steps[session.plan.index_of[prompt.where.id]])
    names = {BEFORE: stage.what, NOW: judged.what if isinstance(judged, Measure) else "Length"}
    if not draft.has("which"):
        told = {which: f"{name}, {entered[which]}" for which, name in names.items()}
        return Part("which", "Which value was mistyped?", "choice", numbered(told))
    which = draft.text("which")
    if not draft.has("value"):
        named = f"{bolt(prompt.where)}, {within_a_sentence(names[which])}"
        return Part("value", you_entered(named, entered[which]), "number")
    if which == BEFORE:  # what measured it shows another value since
        tight = seated(standing(session.progress, prompt.position or "").fastener)
        return _known_again(session, draft, kept.line, KNOWN_OF_LOOSE if tight else KNOWN_WITHOUT_A_TOOL)
    return _known_again(session, draft, prompt.about, ways_known(_by(prompt, session)))


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
    if not draft.has("known") and not session.plan.late:
        return Part("known", "How do you know?", "choice", numbered(KNOWN_WITHOUT_A_TOOL))
    return put_right(draft.text("value"), draft, session, items[(LEFT_OVER if left_over else AT_HAND) + name])


def _entered(prompt: Decide) -> str | None:
    """Give what was typed of it: of a turn in strokes the stroke, where all of the turn was found."""
    judged = prompt.judged
    if judged is None or judged.typed is None:
        return prompt.found
    return show_exactly(judged.typed, judged.typed_unit or judged.unit)
