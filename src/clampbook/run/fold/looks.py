"""What measuring does to the state of a run."""

from __future__ import annotations

from decimal import Decimal

from msgspec.structs import replace

from clampbook.procedure.model import Measure, Tighten
from clampbook.run import events as e
from clampbook.run.fastener import pulled as pull
from clampbook.run.fastener import told_over
from clampbook.run.fold.frames import ask, pass_gate
from clampbook.run.fold.pulls import settle
from clampbook.run.fold.tools import through, unit_of
from clampbook.run.plan import Plan, Step
from clampbook.run.progress import SPREAD, Gate, Progress, Question, Standing, standing
from clampbook.run.verdict import judge


def measured_name(plan: Plan, step: Step) -> str:
    """Under which name a measured value is kept, so that `minus` finds it: the stage's id, and the point."""
    stage = plan.stage_of(step)
    return f"{stage.id or stage.number}@{step.point or ''}"


def measured(plan: Plan, progress: Progress, event: e.Measured) -> Progress:
    """A measured value: kept; outside its window it is asked."""
    index = plan.index_of[event.step]
    step = plan.steps[index]
    progress = replace(progress, last_answer=event.seq, last_answer_step=event.step, last_answer_item=None, found=None)
    if event.part is not None:
        return _beside_a_pull(plan, progress, event, index)
    if step.position is None:
        kept = replace(
            progress, gates=progress.gates.insert(step.id, Gate(latest=event.seq, value=Decimal(event.value)))
        )
        if event.verdict == "within":
            return pass_gate(plan, kept)
        return ask(kept, _outside(plan, progress, event, index, ()))
    state = keep_measured(standing(progress, step.position), measured_name(plan, step), Decimal(event.value))
    shown = {"last_value": event.value, "shown_in": event.unit}
    state = replace(state, latest=event.seq, latest_step=index, latest_what="measure", **shown)
    if event.verdict == "within":
        return settle(plan, progress, index, state, "within")
    kept = replace(progress, positions=progress.positions.insert(step.position, state))
    return ask(kept, _outside(plan, progress, event, index, (step.position,)))


def keep_measured(state: Standing, name: str, value: Decimal) -> Standing:
    """A position with one measured value kept under its name."""
    others = tuple(each for each in state.measured if each[0] != name)
    return replace(state, measured=(*others, (name, value)))


def _outside(plan: Plan, progress: Progress, event: e.Measured, index: int, positions: tuple[str, ...]) -> Question:
    """A value outside its window; or one that is inside, but too far from those at the other points."""
    low, high = event.window or (None, None)
    ends = (None if low is None else Decimal(low), None if high is None else Decimal(high))
    apart = event.spread is not None and judge(Decimal(event.result), ends) == "within"
    found = _pair(plan, progress, event, index) if apart else f"{event.result} {event.unit}"
    cause = SPREAD if apart else "outside"
    return Question(cause=cause, about=event.seq, step=index, positions=positions, found=found)


def _beside_a_pull(plan: Plan, progress: Progress, event: e.Measured, index: int) -> Progress:
    """A last torque after a turn, or the stretch between two pulls."""
    position = plan.steps[index].position or ""
    before = standing(progress, position)
    fastener = before.fastener
    if event.part == "final torque":
        fastener = pull(fastener, Decimal(event.result), "reading", event.seq)
    found = told_beside(plan, index, event.part, event.value, event.unit, event.result)
    if event.verdict == "over":
        fastener = told_over(fastener, event.seq, index, found)
    state = replace(
        before,
        fastener=fastener,
        latest=event.seq,
        latest_step=index,
        latest_what=event.part,
        shown_in=unit_of(progress, event.tool),
        reach=through(progress, event.tool),
    )
    if event.part == "stretch":
        state = replace(state, stretched=(state.attempt, Decimal(event.result)))
    if event.verdict == "within":
        return settle(plan, progress, index, state, "within")
    if event.part == "stretch" and event.verdict == "under":
        return settle(plan, progress, index, replace(state, awaiting=None), "under", finished=False)
    cause = "stretch beyond its window" if event.part == "stretch" else "final torque outside"
    kept = settle(plan, progress, index, state, "over" if event.verdict == "over" else "under", finished=False)
    question = Question(cause=cause, about=event.seq, step=index, positions=(position,), found=found)
    return ask(kept, question)


def told_beside(plan: Plan, index: int, part: str | None, value: str, unit: str | None, result: str | None) -> str:
    """What was told beside a pull, with the unit that it is in: a torque as its tool shows it, a stretch as it is
    judged."""
    stage = plan.stage_of(plan.steps[index])
    if part == "stretch" and isinstance(stage, Tighten) and stage.stretch is not None and result is not None:
        return f"{result} {stage.stretch.window.unit}"
    return f"{value} {unit or ''}".strip()


def _pair(plan: Plan, progress: Progress, event: e.Measured, index: int) -> str:
    """The two points that lie furthest apart, by how much, what is allowed, and the wide one of them."""
    step = plan.steps[index]
    stage = plan.stage_of(step)
    values = {step.point or "": Decimal(event.value)}
    if not isinstance(stage, Measure) or stage.spread is None:
        return f"{event.spread} {event.unit}"
    for point in stage.points:
        found = None if point == step.point else _value_at(plan, progress, step, point)
        if found is not None:
            values[point] = found
    wide, narrow = max(values, key=lambda point: values[point]), min(values, key=lambda point: values[point])
    named = " and ".join(point for point in stage.points if point in (wide, narrow))
    allowed = f"{stage.spread.value} {stage.spread.unit}"
    return f"{named} are {event.spread} {event.unit} apart, {allowed} allowed. Correct the wide side, {wide}"


def points_so_far(plan: Plan, progress: Progress, step: Step) -> tuple[tuple[str, Decimal], ...]:
    """The other points of a measure stage that are measured already."""
    stage = plan.stage_of(step)
    others = [point for point in stage.points if point != step.point] if isinstance(stage, Measure) else []
    found = [(point, _value_at(plan, progress, step, point)) for point in others]
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
        found = _value_at(plan, progress, step, point)
        if found is None:
            return None
        values.append(found)
    return max(values) - min(values)


def _value_at(plan: Plan, progress: Progress, step: Step, point: str) -> Decimal | None:
    stage = plan.stage_of(step)
    if step.position is not None:
        name = f"{stage.id or stage.number}@{point}"
        return dict(standing(progress, step.position).measured).get(name)
    place = f"{step.set}@{point}" if step.set else point
    gate = progress.gates.get(f"{stage.number}.{step.round}/{place}")
    return gate.value if gate else None
