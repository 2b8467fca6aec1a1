"""A value outside its window on the form: at each stage the ways that the walk would offer there."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from clampbook.procedure.model import Measure
from clampbook.run.plan import Plan
from clampbook.run.questions.causes import one_of, seated_by_the_sheet


def outside(plan: Plan, measured: Sequence[Measure]) -> Iterator[str]:
    """Say it once for all stages where the ways are the same, else for each."""
    ways = {stage: _ways(plan, stage) for stage in measured if stage.window is not None or stage.spread is not None}
    for told in dict.fromkeys(ways.values()):
        numbers = dict.fromkeys(str(plan.numbered[stage.number]) for stage in ways if ways[stage] == told)
        at = "" if len(set(ways.values())) == 1 else f" at {_stages(list(numbers))}"
        yield f"Measured outside its window{at}: {told}."


def _stages(numbers: list[str]) -> str:
    *before, last = numbers
    return f"stages {', '.join(before)} and {last}" if before else f"stage {last}"


def _ways(plan: Plan, stage: Measure) -> str:
    *before, last = _each(plan, stage)
    return f"{', '.join(before)}, or {last}" if before else last


def _each(plan: Plan, stage: Measure) -> Iterator[str]:
    """Give the ways in the order of the walk; to accept it stands once for all."""
    index = plan.first_of_stage[stage.number]
    position = plan.steps[index].position
    if stage.adjust and stage.adjust.back_to in plan.first_of_stage:
        yield f"adjust from stage {plan.numbered[stage.adjust.back_to]} ({stage.adjust.at_most} × at most)"
    yield "measure again"
    if plan.follow_up is not None:
        yield "redo the joint"
        return
    if position in plan.group_of:
        if stage.tensions:
            yield "let its pressure down fully and start over"
        elif not seated_by_the_sheet(plan, index):
            yield f"fit a new {one_of(plan, position)}"
    if _has_earlier(plan, stage.number, index):
        yield "go back to an earlier stage"


def _has_earlier(plan: Plan, number: int, index: int) -> bool:
    joint = plan.joint_of_stage.get(number)
    return any(
        first < index and each != number and joint in (None, plan.joint_of_stage.get(each, joint))
        for each, first in plan.first_of_stage.items()
    )
