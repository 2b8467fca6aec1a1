"""What the steps of a plan want of tools: at one step, and stage by stage before anybody touches a bolt."""

from __future__ import annotations

from decimal import Decimal
from typing import Literal, assert_never

from msgspec import Struct

from clampbook.procedure.model import Apply, Inspect, Loosen, Measure, Recheck, Tighten, Turn, Wait
from clampbook.run.plan import Plan, Step
from clampbook.tools.demand import Demand, Need
from clampbook.tools.setting import Ends

What = Literal["tighten", "run-down", "turn", "final torque", "recheck"]
OPEN: Ends = (None, None)


class StageDemand(Struct, frozen=True, kw_only=True):
    """What a stage wants of a tool: `what` is done with it, at `positions`, first at the plan step `first` (from 0)."""

    stage: int
    what: What
    demand: Demand
    group: str | None
    first: int
    positions: tuple[str, ...]
    by_marks: bool = False  # the sheet lets this turn be judged from mark to mark as well


def demand(plan: Plan, step: Step | None, need: Need, target: Decimal | None = None, window: Ends = OPEN) -> Demand:
    """What a step wants; `target` and `window` are in the sheet's unit, for an angle they are left out."""
    group = plan.group_named.get(step.group or "") if step is not None else None
    stage = plan.stage_of(step) if step is not None else None
    final = stage.final_torque if isinstance(stage, Turn) and need == "angle" else None
    return Demand(
        need=need,
        target=target,
        window=window,
        unit=plan.unit,
        up_to=final.high if final is not None else None,
        anticlockwise=group is not None and group.left_hand,
    )


def demands(plan: Plan) -> tuple[StageDemand, ...]:
    """Every demand of a plan once, in the order of its stages, with the positions that have it."""
    found: dict[tuple[int, What, Demand], StageDemand] = {}
    positions: dict[tuple[int, What, Demand], dict[str, None]] = {}
    for index, step in enumerate(plan.steps):
        for what, wanted in _of_step(plan, step):
            key = (step.stage, what, wanted)
            if key not in found:
                found[key] = StageDemand(
                    stage=step.stage, what=what, demand=wanted, group=step.group, first=index, positions=()
                )
                positions[key] = {}
            if step.position is not None:
                positions[key][step.position] = None
    return tuple(_with_positions(each, tuple(positions[key])) for key, each in found.items())


def _with_positions(each: StageDemand, positions: tuple[str, ...]) -> StageDemand:
    return StageDemand(
        stage=each.stage,
        what=each.what,
        demand=each.demand,
        group=each.group,
        first=each.first,
        positions=positions,
        by_marks=each.what == "turn",
    )


def _of_step(plan: Plan, step: Step) -> list[tuple[What, Demand]]:
    stage = plan.stage_of(step)
    window = step.window or OPEN
    match stage:
        case Tighten():
            need: Need = "reading" if stage.stretch is not None else "torque"
            pull: list[tuple[What, Demand]] = [("tighten", demand(plan, step, need, step.target, window))]
            group = plan.group_named.get(step.group or "")
            if group is not None and group.prevailing is not None:
                pull.insert(0, ("run-down", demand(plan, step, "reading")))
            return pull
        case Turn():
            turns: list[tuple[What, Demand]] = []
            if stage.judged_by != "mark":
                turns.append(("turn", demand(plan, step, "angle")))
            if stage.final_torque is not None and step.round == stage.rounds:
                final = (stage.final_torque.low, stage.final_torque.high)
                turns.append(("final torque", demand(plan, step, "reading", None, final)))
            return turns
        case Recheck():
            need = "reading" if stage.method == "first movement" else "torque"
            return [("recheck", demand(plan, step, need, stage.target, window))]
        case Loosen() | Measure() | Inspect() | Wait() | Apply():
            return []
        case _ as never:
            assert_never(never)
