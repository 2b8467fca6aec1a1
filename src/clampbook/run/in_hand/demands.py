"""The demands of a plan's steps on tools: at one step, and stage by stage before anybody touches a bolt."""

from __future__ import annotations

from typing import Literal, assert_never

from msgspec import Struct

from clampbook.procedure.model import Align, Loosen, Measure, Recheck, Tighten, Turn, Unmoved
from clampbook.run.in_hand.aim import before_prevailing, wanted
from clampbook.run.in_hand.measuring import measured
from clampbook.run.plan import Plan, Step
from clampbook.tools.demand import Demand

What = Literal["tighten", "prevailing torque", "turn", "final torque", "recheck", "measure", "stretch"]


class StageDemand(Struct, frozen=True, kw_only=True):
    """The demand of a stage on a tool: `what` is done with it, at `positions`, first at the plan step `first`
    (from 0).
    """

    stage: int
    what: What
    demand: Demand
    group: str | None
    first: int
    positions: tuple[str, ...]
    by_marks: bool = False  # the sheet lets this turn be judged by the mark as well


def demands(plan: Plan) -> tuple[StageDemand, ...]:
    """Every demand of a plan once, in the order of its stages, with the positions that have it."""
    found: dict[tuple[int, What, Demand], StageDemand] = {}
    positions: dict[tuple[int, What, Demand], dict[str, None]] = {}
    for index, step in enumerate(plan.steps):
        for what, demand in _of_step(plan, step):
            key = (step.stage, what, demand)
            if key not in found:
                found[key] = StageDemand(
                    stage=step.stage, what=what, demand=demand, group=step.group, first=index, positions=()
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
    found: list[tuple[What, Demand | None]] = []
    if isinstance(stage, Measure):
        found.append(("measure", measured(plan, step)))
        return _told(found)
    if isinstance(stage, Align | Loosen | Unmoved):
        return []
    match stage:
        case Tighten():
            group = plan.group_named.get(step.group or "")
            if group is not None and group.prevailing is not None:
                found.append(("prevailing torque", wanted(plan, step, beside="prevailing torque")))
            found += [("tighten", before_prevailing(plan, step)), ("stretch", measured(plan, step))]
        case Turn():
            if stage.judged_by != "mark":
                found.append(("turn", wanted(plan, step)))
            if stage.final_torque is not None and step.round == stage.rounds:
                found.append(("final torque", wanted(plan, step, beside="final torque")))
        case Recheck():
            found.append(("recheck", before_prevailing(plan, step)))
        case _:
            assert_never(stage)
    return _told(found)


def _told(found: list[tuple[What, Demand | None]]) -> list[tuple[What, Demand]]:
    return [(what, demand) for what, demand in found if demand is not None]
