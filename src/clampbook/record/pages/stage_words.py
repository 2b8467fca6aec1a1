"""The wants of each stage of the plan, in the words of a heading."""

from __future__ import annotations

from collections.abc import Iterator
from typing import assert_never

from msgspec.structs import replace

from clampbook.procedure.model import (
    Align,
    Group,
    Loosen,
    Measure,
    Pulled,
    Recheck,
    Stage,
    Tighten,
    Turn,
    Unmoved,
    Wait,
)
from clampbook.run import kinds
from clampbook.run.plan import Plan
from clampbook.tools.aim import loosening, tightening


def wants(stage: Stage, unit: str) -> str:
    """Tell what the stage does: "Tighten to 40.0 N·m (29.5 lbf·ft)". `unit` is the sheet's torque unit."""
    return kinds.of(stage).paper(stage, unit).wants


def limits(stage: Stage, plan: Plan) -> tuple[str, ...]:
    """Tell its limits; a stage that it leads back to has the number by which stages are told."""
    if isinstance(stage, Measure) and stage.adjust:
        told = replace(stage.adjust, back_to=plan.numbered[stage.adjust.back_to])
        return kinds.of(stage).paper(replace(stage, adjust=told), plan.unit).limits
    return kinds.of(stage).paper(stage, plan.unit).limits


def _direction(stage: Stage) -> str | None:
    """Tell the way that a left-hand fastener goes; None where no hand is laid on it."""
    if isinstance(stage, Unmoved):
        return None
    match stage:
        case Tighten() | Turn() | Align() | Recheck():
            return tightening(left_hand=True)
        case Loosen():
            return loosening(left_hand=True)
        case _ as never:
            assert_never(never)


def _moved_by(stage: Stage, group: Group | None, *, guarded: bool) -> Iterator[str]:
    """By what the window that judges a pull differs from the one that is written."""
    if not isinstance(stage, Tighten | Recheck) or stage.window is None:
        return
    if group is not None and group.prevailing is not None and group.prevailing.rule != "included":
        third = " from a third of the target on" if group.prevailing.rule == "from a third" else ""
        yield f"prevailing torque added{third}"
    if guarded:
        yield "narrowed for the tool’s uncertainty"


def rounds(stage: Stage) -> int:
    """Count the rounds that it has."""
    return stage.rounds if isinstance(stage, Tighten | Turn) else 1


def aside(stage: Stage, plan: Plan, called: str | None = None) -> str:
    """Give what stands beside the heading: its limits, group or joint, which way round, and where it is in the
    sheet. `called` is another name for the group."""
    group, joint = plan.group_named.get(stage.group or ""), plan.joint_of_stage.get(stage.number)
    named = list(_moved_by(stage, group, guarded=plan.accept == "guarded"))
    named += [f"with {stage.through}"] if isinstance(stage, Pulled) and stage.through else []
    named += (
        [called or stage.group]
        if stage.group
        else [joint.name]
        if joint is not None and isinstance(stage, Wait)
        else []
    )
    if group is not None and group.left_hand and (direction := _direction(stage)) is not None:
        named.append(f"left-hand: {direction}, seen from the tool")
    manual = [f"manual: {stage.manual}"] if stage.manual else []
    return " · ".join([*limits(stage, plan), *named, *manual])
