"""The work in parts: the stages that stand together on the form, in one table or as boxes of a set or a joint."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby
from typing import NamedTuple

from clampbook.procedure.model import Stage, Wait
from clampbook.record.form.blocks import COLUMN
from clampbook.record.form.places import columns, label
from clampbook.run.plan import Plan, Step

NARROWEST = 9  # millimetres for the position
MOST = COLUMN - NARROWEST + 3  # columns that are only just too wide are made narrower


class Part(NamedTuple):
    """Stages that stand together. Those of a table are done at all its rows one after the other; `boxed` are worked
    through in the order of their boxes. Those that are `alike` are one stage, at each of several joints."""

    stages: tuple[Stage, ...]
    steps: tuple[Step, ...]
    boxed: bool = False
    alike: bool = False


def parts(plan: Plan) -> Iterator[Part]:
    """Give the work from the first step to the last."""
    before: Part | None = None
    for part in _whole(plan):
        if before is not None and _beside(plan, before, part):
            before = Part((*before.stages, *part.stages), (*before.steps, *part.steps))
            continue
        if before is not None:
            yield before
        before = part
    if before is not None:
        yield before


def _whole(plan: Plan) -> Iterator[Part]:
    """Cut where a stage ends, or a block of stages that is worked through at each set or bolt; of several joints that
    are done in turn where a joint ends, and of others where a stage ends at the last joint."""
    in_turn = bool(plan.joints) and not plan.joints_interleaved
    own = {number: place for joint in plan.joints for place, number in enumerate(joint.stages)}

    def of(step: Step) -> tuple[str, object]:  # what stands together
        joint = plan.joint_at(step.position, step.stage)
        if in_turn and joint is not None:
            return ("joint", joint.name)
        block = plan.stage_of(step).block
        if block is not None:
            return ("block", block)
        return ("stage", f"each {own[step.stage]}" if step.stage in own else step.stage)

    for (kind, _), members in groupby(plan.steps, key=of):
        steps = tuple(members)
        stages = _stages(plan, steps)
        boxed = kind == "joint" or (kind == "block" and not _in_rows(plan, stages))
        yield Part(stages, steps, boxed, alike=kind == "stage" and len(stages) > 1)


def _stages(plan: Plan, steps: Sequence[Step]) -> tuple[Stage, ...]:
    return tuple(plan.stages[number - 1] for number in dict.fromkeys(step.stage for step in steps))


def _in_rows(plan: Plan, stages: Sequence[Stage]) -> bool:
    """True of a block that goes bolt by bolt and has all its places in a row."""
    return all(stage.each == "position" and stage.positions for stage in stages) and wide(plan, stages) <= MOST


def wide(plan: Plan, stages: Sequence[Stage]) -> int:
    """Give the width of their columns beside each other."""
    found = (columns(stage, plan, together=len(stages) > 1) for stage in stages)
    return sum(column.wide for each in found for of_round in each for column in of_round)


def _beside(plan: Plan, before: Part, part: Part) -> bool:
    """True where a stage is done in the order of the one before it, at the same bolts, and finds room beside it."""
    if before.boxed or part.boxed or plan.joints:
        return False
    one, other = before.stages[-1], part.stages[0]
    if isinstance(other, Wait) or one.block is not None or other.block is not None:
        return False
    alike = one.group == other.group and one.group is not None and one.at_each and other.at_each
    unsampled = all(getattr(stage, "sample", None) is None for stage in (one, other))
    if not alike or not unsampled or rows(plan, before) != rows(plan, part):
        return False
    return wide(plan, (*before.stages, *part.stages)) <= MOST


def rows(plan: Plan, part: Part) -> tuple[str, ...]:
    """Give the names of the rows, in their order."""
    return tuple(dict.fromkeys(label(step, plan) for step in part.steps))
