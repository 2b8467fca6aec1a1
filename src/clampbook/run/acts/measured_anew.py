"""A measured value that was put right: judged anew, alone or with the other points of its measurement."""

from __future__ import annotations

from decimal import Decimal

from msgspec.structs import replace

from clampbook.run import events as e
from clampbook.run.fold.again import revisit, same_measurement
from clampbook.run.fold.frames import advance, ask, pass_gate
from clampbook.run.fold.measured import (
    as_shown,
    excused,
    keep_measured,
    kept_at,
    measured_name,
    only_apart,
    pair,
    told_beside,
    told_outside,
)
from clampbook.run.fold.pulls import (
    read_at_the_end,
    settle,
)
from clampbook.run.plan import Plan
from clampbook.run.progress import SPREAD, TOO_MANY, Gate, Progress, Question, Standing, Why
from clampbook.units import behind


def asked_of_all_points(plan: Plan, progress: Progress, event: e.Corrected) -> Question | None:
    """The open question about all the points of a measurement, one of which is put right; it is asked at the last."""
    if event.what != "measure" or event.step is None:
        return None
    here = plan.steps[plan.index_of[event.step]]
    of_points = (each for each in progress.questions if each.cause in (SPREAD, TOO_MANY))
    return next((each for each in of_points if same_measurement(plan.steps[each.step], here)), None)


def measured_anew(plan: Plan, progress: Progress, event: e.Corrected, index: int, at: int, state: Standing) -> Progress:
    """Judge a measured value anew: `at` the step where it was asked of all the points, or at its own."""
    step = plan.steps[index]
    before = kept_at(plan, progress, step, step.point or "")
    by = None if before is None else before.by
    state = keep_measured(state, measured_name(plan, step), Decimal(event.value), by, event.seq)
    if (judged := _points_judged(plan, progress, event, index, at, state)) is not None:
        return judged
    place = at if event.verdict in (None, "within") else index
    return value_judged(plan, progress, event, place, state, "outside")


def question_about(plan: Plan, event: e.Corrected, cause: Why, index: int, position: str) -> Question:
    """The question that a corrected value raises at its position."""
    return Question(cause=cause, about=event.seq, step=index, positions=(position,), found=told_now(plan, event, index))


def told_now(plan: Plan, event: e.Corrected, index: int) -> str:
    """Tell what stands now, with the unit that it is in."""
    if event.what in ("final torque", "stretch"):
        return told_beside(plan, index, event.what, event.value, event.unit, event.result)
    if event.what == "measure" and event.result == event.value:
        return as_shown(event)
    return f"{event.result or event.sum or event.value}{behind(event.unit)}"


def value_judged(
    plan: Plan, progress: Progress, event: e.Corrected, index: int, state: Standing, cause: Why
) -> Progress:
    """A corrected measured value: within goes on, outside is asked."""
    position = plan.steps[index].position or ""
    if event.verdict in (None, "within"):
        return read_at_the_end(plan, progress, index, state)
    kept = replace(progress, positions=progress.positions.insert(position, state))
    return ask(
        revisit(plan, kept, position, index, "a corrected value is outside"),
        question_about(plan, event, cause, index, position),
    )


def _points_judged(
    plan: Plan, progress: Progress, event: e.Corrected, index: int, at: int, state: Standing
) -> Progress | None:
    """A corrected point that is judged with the others: of those of which some may be outside, or too far apart; None
    where it is judged alone."""
    step = plan.steps[index]
    if excused(plan, step, event.outside):
        return settle(plan, progress, at, state, "within")
    about = (step.position or "",)
    kept = replace(progress, positions=progress.positions.insert(about[0], state))
    if event.outside is not None:
        return ask(kept, _too_many(plan, event, at, about))
    found = pair(plan, progress, event, index)
    return ask(kept, _apart(event, found, at, about)) if only_apart(event) else None


def _too_many(plan: Plan, event: e.Corrected, at: int, positions: tuple[str, ...]) -> Question:
    found = told_outside(plan, plan.steps[at], event.outside or 0)
    return Question(cause=TOO_MANY, about=event.seq, step=at, positions=positions, found=found)


def _apart(event: e.Corrected, found: str, at: int, positions: tuple[str, ...]) -> Question:
    return Question(cause=SPREAD, about=event.seq, step=at, positions=positions, found=found)


def gate_corrected(plan: Plan, progress: Progress, event: e.Corrected, index: int, at: int) -> Progress:
    """The corrected value of a gate is kept, and opens it or raises a question: at its own step, or `at` that of the
    question about all its points."""
    step = plan.steps[index]
    before = progress.gates.get(step.id)
    instrument = None if before is None else before.instrument
    gate = Gate(latest=event.seq, value=Decimal(event.value), instrument=instrument)
    gates = progress.gates.insert(step.id, gate)
    kept = replace(progress, gates=gates, conceded=progress.conceded - {step.id})
    top = kept.frames[-1]
    if event.outside is not None and not excused(plan, step, event.outside):
        return ask(kept, _too_many(plan, event, at, ()))
    if event.verdict in (None, "within") or excused(plan, step, event.outside):
        return pass_gate(plan, kept) if top.next == at and not top.prologue else advance(plan, kept)
    if only_apart(event):
        return ask(kept, _apart(event, pair(plan, progress, event, index), at, ()))
    return ask(kept, Question(cause="outside", about=event.seq, step=index, found=told_now(plan, event, index)))
