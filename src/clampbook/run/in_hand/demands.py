"""The demands of a plan's steps on tools: at one step, and stage by stage before anybody touches a bolt."""

from __future__ import annotations

from typing import Literal, assert_never

from msgspec import Struct

from clampbook.procedure.model import Align, Loosen, Measure, Recheck, Tighten, Turn, Unmoved
from clampbook.procedure.naming import of_file
from clampbook.run.in_hand.aim import before_prevailing, wanted
from clampbook.run.in_hand.measuring import measured
from clampbook.run.plan import Plan, Step
from clampbook.tools.demand import Demand

What = Literal["tighten", "prevailing torque", "turn", "final torque", "recheck", "measure", "stretch"]


class StageDemand(Struct, frozen=True, kw_only=True):
    """The demand of a stage on a tool: `what` is done with it, at `positions`, first at the plan step `first`
    (from 0).

    Of several joints the same stage of all is one: it is told by its number at each, and `group` by the name that the
    procedure's file has for it. `joints` says at how many.
    """

    stage: int
    joints: int
    what: What
    demand: Demand
    group: str | None
    first: int
    positions: tuple[str, ...]
    by_marks: bool = False  # the sheet lets this turn be judged by the mark as well


def demands(plan: Plan) -> tuple[StageDemand, ...]:
    """Every demand of a plan once, in the order of its stages, with the positions that have it."""
    steps: dict[tuple[int, What, Demand], list[int]] = {}
    for index, step in enumerate(plan.steps):
        for what, demand in _of_step(plan, step):
            steps.setdefault((plan.numbered[step.stage], what, demand), []).append(index)
    return tuple(_demand(plan, key, indices) for key, indices in steps.items())


def _demand(plan: Plan, key: tuple[int, What, Demand], indices: list[int]) -> StageDemand:
    """One demand, with the steps that have it."""
    stage, what, demand = key
    steps = [plan.steps[index] for index in indices]
    joints = dict.fromkeys(plan.joint_at(step.position, step.stage) for step in steps)
    joint = next(iter(joints))
    group = steps[0].group
    return StageDemand(
        stage=stage,
        joints=0 if joint is None else len(joints),
        what=what,
        demand=demand,
        group=group if group is None or joint is None else of_file(group, joint.name),
        first=indices[0],
        positions=tuple(dict.fromkeys(step.position for step in steps if step.position is not None)),
        by_marks=what == "turn",
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
