"""What is asked where nothing is pulled: measuring."""

from __future__ import annotations

from decimal import Decimal
from typing import assert_never

from clampbook.procedure.model import Apply, Inspect, Loosen, Measure, Recheck, Tighten, Turn, Wait
from clampbook.run import prompts as ask
from clampbook.run.fold.looks import points_so_far
from clampbook.run.places import where
from clampbook.run.plan import Step
from clampbook.run.progress import standing
from clampbook.run.session import Session
from clampbook.units import convert


def measure(session: Session, index: int, stage: Measure) -> ask.Measure:
    """Something is measured: a gate, or at a position; what `minus` names is taken off before judging."""
    step = session.plan.steps[index]
    place = where(session.plan, session.progress, index)
    spread = stage.spread
    return ask.Measure(
        place,
        stage.what,
        stage.unit,
        step.window,
        minus=taken_off(session, step),
        so_far=points_so_far(session.plan, session.progress, step),
        apart=None if spread is None else convert(spread.value, spread.unit, stage.unit),
    )


def taken_off(session: Session, step: Step) -> Decimal | None:
    """What is taken off a measured value before it is judged: the value under the stage's `minus`."""
    match session.plan.stage_of(step):
        case Measure(minus=minus):
            return taken_at(session, step, minus)
        case Tighten(stretch=stretch) if stretch is not None:
            return taken_at(session, step, stretch.minus)
        case Tighten() | Turn() | Loosen() | Inspect() | Wait() | Recheck() | Apply():
            return None
        case _ as never:
            assert_never(never)


def taken_at(session: Session, step: Step, name: str | None) -> Decimal | None:
    """The value measured earlier under this name, at the same position or gate, and the same point."""
    if name is None:
        return None
    plan, progress = session.plan, session.progress
    if step.position is not None:
        kept = dict(standing(progress, step.position).measured)
        return kept.get(f"{name}@{step.point or ''}", kept.get(f"{name}@"))
    for stage in plan.stages:
        if stage.id == name:
            tail = step.id.split("/", 1)[1]
            gate = progress.gates.get(f"{stage.number}.1/{tail}")
            return gate.value if gate else None
    return None
