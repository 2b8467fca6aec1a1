"""The values measured so far: kept under their names, taken off, and held against the values at other points."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from msgspec.structs import replace

from clampbook.figures import judge, show_exactly
from clampbook.procedure.model import Measure, Stage, Tighten
from clampbook.run.events import Corrected, Measured
from clampbook.run.fold.acts import TOO_FAR_APART
from clampbook.run.fold.verdict import Verdict
from clampbook.run.plan import Plan, Step
from clampbook.run.progress import Kept, Progress, Standing, standing
from clampbook.tools.model import Tool
from clampbook.units import COUNT, UnitFault, behind, convert, kind_of, parse, show


def measured_name(plan: Plan, step: Step) -> str:
    """Under which name a measured value is kept, so that `minus` finds it: the stage's id, and the point."""
    stage = plan.stage_of(step)
    return f"{stage.id or stage.number}@{step.point or ''}"


def keep_measured(state: Standing, name: str, value: Decimal, by: Tool | None, line: int) -> Standing:
    """A position with one measured value kept under its name."""
    others = tuple(each for each in state.measured if each.name != name)
    return replace(state, measured=(*others, Kept(name, value, by, line)))


def told_beside(plan: Plan, index: int, part: str | None, value: str, unit: str | None, result: str | None) -> str:
    """Give what was told beside a pull, with the unit that it is in: a torque as its tool shows it, a stretch
    as it is judged.
    """
    stage = plan.stage_of(plan.steps[index])
    if part == "stretch" and isinstance(stage, Tighten) and stage.stretch is not None and result is not None:
        return f"{result} {stage.stretch.window.unit}"
    return f"{value}{behind(unit)}"


def on_its_scale(event: Measured | Corrected, unit: str) -> str | None:
    """Give what was typed with its unit, where that is not the procedure's `unit`: "0.5 in"."""
    if event.unit in (None, COUNT):
        return None
    try:
        typed = parse(event.typed, kind_of(unit), unit=event.unit)
    except UnitFault:
        return None  # a line that nobody wrote this way
    return None if typed.unit == unit else show_exactly(typed.value, typed.unit)


def as_shown(event: Measured | Corrected) -> str:
    """A measured value as it was typed, and in brackets what that is in the procedure's unit, where it was typed in
    another one: "0.5 in (12.7 mm)"."""
    own = f"{event.value}{behind(event.unit)}"
    typed = on_its_scale(event, event.unit or COUNT)
    return own if typed is None else f"{typed} ({own})"


def points_so_far(plan: Plan, progress: Progress, step: Step) -> tuple[tuple[str, Decimal], ...]:
    """The other points of a measure stage that are measured already."""
    stage = plan.stage_of(step)
    others = [point for point in stage.points if point != step.point] if isinstance(stage, Measure) else []
    found = [(point, value_at(plan, progress, step, point)) for point in others]
    return tuple((point, value) for point, value in found if value is not None)


def spread_of(plan: Plan, progress: Progress, step: Step, value: Decimal) -> Decimal | None:
    """Largest minus smallest over the points of a measure stage, once all the others are there; else None."""
    stage = plan.stage_of(step)
    if not isinstance(stage, Measure) or stage.spread is None:
        return None
    values = [value]
    for point in stage.points:
        if point == step.point:
            continue
        found = value_at(plan, progress, step, point)
        if found is None:
            return None
        values.append(found)
    return max(values) - min(values)


def beside_others(
    plan: Plan, progress: Progress, step: Step, value: Decimal, verdict: Verdict
) -> tuple[Decimal | None, Verdict]:
    """Tell how far the points of a measure stage lie apart, once all the others are there; and the verdict, by which a
    value within its window is over where that is too far."""
    stage, spread = plan.stage_of(step), spread_of(plan, progress, step, value)
    if spread is None or not isinstance(stage, Measure) or stage.spread is None:
        return None, verdict
    too_far = spread > convert(stage.spread.value, stage.spread.unit, stage.unit)
    return spread, "over" if verdict == "within" and too_far else verdict


def only_apart(event: Measured | Corrected) -> bool:
    """True where it lies inside its window, and only too far from the values at the other points."""
    if event.spread is None or event.verdict != "over" or event.result is None:
        return False
    low, high = (None if end is None else Decimal(end) for end in event.window or (None, None))
    return judge(Decimal(event.result), (low, high)) == "within"


def judged_together(event: Measured | Corrected) -> dict[str, Any]:
    """Give the outcome of the point that is judged with all the others, and the verdict on it alone: one inside its
    window is never over, the points lie too far apart.
    """
    if not only_apart(event):
        return {"outcome": event.verdict, "verdict": event.verdict}
    return {"outcome": TOO_FAR_APART, "verdict": "within" if has_window(event) else None}


def has_window(event: Measured | Corrected) -> bool:
    """True where the value was held against a window of its own, and not only against the other points."""
    return event.window not in (None, (None, None))


def pair(plan: Plan, progress: Progress, event: Measured | Corrected, index: int) -> str:
    """The two points that lie furthest apart, by how much, what is allowed, and the larger one of them."""
    step = plan.steps[index]
    stage = plan.stage_of(step)
    values = {step.point or "": Decimal(event.value)}
    if not isinstance(stage, Measure) or stage.spread is None:
        return f"{event.spread}{behind(event.unit)}"
    for point in stage.points:
        found = None if point == step.point else value_at(plan, progress, step, point)
        if found is not None:
            values[point] = found
    wide, narrow = max(values, key=lambda point: values[point]), min(values, key=lambda point: values[point])
    named = " and ".join(point for point in stage.points if point in (wide, narrow))
    allowed = show(stage.spread.value, stage.spread.unit)
    apart = f"{event.spread}{behind(event.unit)} apart, {allowed} allowed"
    return f"{named} are {apart}. The larger is at {wide}"


def outside_of(plan: Plan, progress: Progress, step: Step, value: Decimal) -> int | None:
    """Count the points that lie outside the window of a stage that allows some, this one with its value; None until
    all the others are measured, and where the stage allows none.
    """
    stage = plan.stage_of(step)
    if not isinstance(stage, Measure) or stage.all_but is None or step.window is None:
        return None
    values = [value if point == step.point else value_at(plan, progress, step, point) for point in stage.points]
    if any(each is None for each in values):
        return None
    return sum(each is not None and judge(each, step.window) != "within" for each in values)


def excused(plan: Plan, step: Step, outside: int | None) -> bool:
    """True where a point outside its window decides nothing: others are still to come, or so many may be."""
    stage = plan.stage_of(step)
    return isinstance(stage, Measure) and stage.all_but is not None and (outside is None or outside <= stage.all_but)


def told_outside(plan: Plan, step: Step, outside: int) -> str:
    """ "2 of 5 outside, 1 allowed"."""
    stage = plan.stage_of(step)
    assert isinstance(stage, Measure)
    return f"{outside} of {len(stage.points)} outside, {stage.all_but} allowed"


def value_at(plan: Plan, progress: Progress, step: Step, point: str) -> Decimal | None:
    found = kept_at(plan, progress, step, point)
    return None if found is None else found.value


def kept_at(plan: Plan, progress: Progress, step: Step, point: str) -> Kept | None:
    """The value that was measured at a point beside the one of this step, or at that itself."""
    stage = plan.stage_of(step)
    if step.position is not None:
        return _kept(standing(progress, step.position), f"{stage.id or stage.number}@{point}")
    place = f"{step.set}@{point}" if step.set else point
    own = point == (step.point or "")
    gate = progress.gates.get(step.id if own else f"{stage.number}.{step.round}/{place}")
    return None if gate is None or gate.value is None else Kept(point, gate.value, gate.instrument, gate.latest)


def all_points(plan: Plan, progress: Progress, step: Step) -> dict[str, Kept]:
    """Each point of a measure stage that is measured, by its name, in the order of the procedure."""
    stage = plan.stage_of(step)
    points = stage.points if isinstance(stage, Measure) else ()
    found = {point: kept_at(plan, progress, step, point) for point in points}
    return {point: kept for point, kept in found.items() if kept is not None}


def step_of_line(plan: Plan, progress: Progress, line: int) -> Step | None:
    """The step of a value that was measured at a fastener and stands in this line now."""
    for position, state in progress.positions.items():
        name = next((each.name for each in state.measured if each.line == line), None)
        if name is not None:
            steps = (plan.steps[index] for index in plan.steps_of[position])
            return next((each for each in steps if each.kind == "measure" and measured_name(plan, each) == name), None)
    return None


def taken_off(plan: Plan, progress: Progress, step: Step) -> Decimal | None:
    """Give what is taken off a measured value before it is judged: the value under the stage's `minus`."""
    before = before_it(plan, progress, step)
    return None if before is None else before.value


def before_it(plan: Plan, progress: Progress, step: Step) -> Kept | None:
    """The value that is taken off one measured at this step, under the name of its stage: measured earlier at the same
    position or gate, and the same point."""
    name = _minus(plan.stage_of(step))
    if name is None:
        return None
    if step.position is not None:
        state = standing(progress, step.position)
        found = _kept(state, f"{name}@{step.point or ''}") or _kept(state, f"{name}@")
        return None if found is None else replace(found, name=name)
    for stage in plan.stages:
        if stage.id == name:
            tail = step.id.split("/", 1)[1]
            gate = progress.gates.get(f"{stage.number}.1/{tail}")
            return None if gate is None or gate.value is None else Kept(name, gate.value, gate.instrument)
    return None


def _minus(stage: Stage) -> str | None:
    if isinstance(stage, Measure):
        return stage.minus
    return stage.stretch.minus if isinstance(stage, Tighten) and stage.stretch is not None else None


def _kept(state: Standing, name: str) -> Kept | None:
    return next((each for each in state.measured if each.name == name), None)
