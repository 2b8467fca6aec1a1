"""Adjusting: a measurement outside its window leads back to a stage before it, and all from there on is done again.

What the way back neither names nor loosens stays as it is. Each time is counted, up to what the procedure allows.
"""

from __future__ import annotations

from typing import Literal

from msgspec import Struct
from msgspec.structs import replace

from clampbook.procedure.model import Loosen, Measure
from clampbook.run.fold.again import of_the_joint, points_forgotten
from clampbook.run.fold.frames import advance, at_hand, lay_on
from clampbook.run.fold.renewal import needs_renewal
from clampbook.run.plan import Plan
from clampbook.run.progress import Frame, Progress, Question, standing

ADJUST: Literal["adjust"] = "adjust"


class Loop(Struct, frozen=True, kw_only=True):
    """The way back: the number of its first stage, the plan steps from `first` to `last` (from 0) at `positions`,
    which of them are on it by name, which time this is, and how often it may be gone. `name` is that of what is
    measured, by which times are counted."""

    name: str
    stage: int
    first: int
    last: int
    positions: frozenset[str]
    steps: frozenset[str]
    time: int
    at_most: int


def loop_at(plan: Plan, progress: Progress, index: int, position: str | None) -> Loop | None:
    """The way back from the measurement at a plan step, with one more time; None where the procedure has none."""
    step = plan.steps[index]
    stage = plan.stage_of(step)
    if not isinstance(stage, Measure) or not stage.adjust:
        return None
    name = f"{stage.number}/{position or step.set or ''}"
    positions = _positions(plan, index, stage.adjust.back_to, position)
    first = _first(plan, index, stage.adjust.back_to, positions)
    if first is None:
        return None
    on_it = (each for each in of_the_joint(plan, first, index) if each.position is None or each.position in positions)
    return Loop(
        steps=frozenset(each.id for each in on_it),
        name=name,
        stage=stage.adjust.back_to,
        first=first,
        last=index,
        positions=positions,
        time=progress.adjusted.get(name, 0) + 1,
        at_most=stage.adjust.at_most,
    )


def _positions(plan: Plan, index: int, back_to: int, position: str | None) -> frozenset[str]:
    """The positions that are worked on again: of one bolt that is measured those that start over with it, in a set
    those of the set; else those of every group that the way back names, measures, or loosens."""
    step = plan.steps[index]
    group = plan.group_of.get(position or "")
    if position is not None and group is not None:
        scope = group.start_over
        if scope == "fastener":
            return frozenset((position,))
        if scope == "neighbours":
            return frozenset((position, *group.neighbours.get(position, ())))
        return frozenset(group.order)
    if step.set is not None and step.group is not None:
        sets = plan.group_named[step.group].sets
        return frozenset(each for one in sets if one.name == step.set for each in one.positions)
    first = plan.first_of_stage.get(back_to, index)
    between = tuple(of_the_joint(plan, first, index))
    groups = {step.group, plan.stages[back_to - 1].group, *(each.group for each in between if each.kind == "loosen")}
    return frozenset(each.position for each in between if each.position is not None and each.group in groups)


def _first(plan: Plan, index: int, back_to: int, positions: frozenset[str]) -> int | None:
    """Place of the first step of the stage that is gone back to, at these positions; None where it is not in the plan,
    as one that a trial leaves out."""
    first = plan.first_of_stage.get(back_to, index)
    found = (
        place
        for place in range(first, index)
        if plan.steps[place].stage == back_to and plan.steps[place].position in (None, *positions)
    )
    return next(found, None)


def gone_back(plan: Plan, progress: Progress, index: int, position: str | None, stage: int) -> Loop | None:
    """The way back that going back to a stage by a decision goes as well, which is one time more; None where it does
    not reach so far."""
    loop = loop_at(plan, progress, index, position)
    return loop if loop is not None and stage <= loop.stage else None


def counted(progress: Progress, loop: Loop) -> Progress:
    """One time more."""
    return replace(progress, adjusted=progress.adjusted.insert(loop.name, loop.time))


def adjustable(plan: Plan, progress: Progress, question: Question) -> Loop | None:
    """The way back that may be gone now: some times are left, and nothing that is used once is tightened again."""
    position = question.positions[0] if question.positions else None
    loop = loop_at(plan, progress, question.step, position if position in plan.group_of else None)
    if loop is None or loop.time > loop.at_most:
        return None
    return None if any(needs_renewal(plan, progress, each) for each in loop.positions) else loop


def times(plan: Plan, progress: Progress, index: int, position: str | None) -> tuple[int, int] | None:
    """Tell how often it was adjusted so far, and how often it may be; None where the procedure does not adjust."""
    loop = loop_at(plan, progress, index, position)
    return None if loop is None else (loop.time - 1, loop.at_most)


def adjust(plan: Plan, progress: Progress, loop: Loop) -> Progress:
    """Back to the first stage of the way: its positions are to be done again, and what was measured on it is forgotten.
    That the value was outside departs from nothing, for the procedure itself says what follows. What was accepted on
    the way is no longer as it was accepted where it is loosened fully."""
    progress = points_forgotten(plan, progress, loop.first, loop.last)
    reached = max((standing(progress, each).through for each in loop.positions), default=-1)
    positions, passes, begun = progress.positions, progress.passes, progress.begun
    loosened = _loosened_fully(plan, loop)
    for each in loop.positions:
        state = standing(progress, each)
        on_the_way = state.conceded_at is not None and state.conceded_at >= loop.first
        again = replace(
            state,
            through=min(state.through, loop.first - 1),
            latest=0,
            latest_step=-1,
            latest_what=None,
            outcome="to do again",
            awaiting=None,
            unders=0,
            conceded_at=None if on_the_way and each in loosened else state.conceded_at,
        )
        positions = positions.insert(each, again)
    for name in loop.steps:
        passes, begun = passes.discard(plan.run_of[plan.index_of[name]][0]), begun.discard(name)
    progress = replace(
        counted(progress, loop),
        positions=positions,
        passes=passes,
        begun=begun,
        deviations=progress.deviations - 1,
        last_answer=0,  # what was measured is measured again, and corrected no longer
        last_answer_step=None,
        last_entered=None,
        recent=tuple(each for each in progress.recent if each not in loop.positions),
    )
    frame = Frame(
        reason="adjusting",
        positions=loop.positions,
        first=loop.first,
        last=max(loop.last, reached),
        next=loop.first,
        interrupts=at_hand(progress),
        gates_from=loop.first,
    )
    return advance(plan, lay_on(plan, progress, frame))


def _loosened_fully(plan: Plan, loop: Loop) -> frozenset[str | None]:
    """The positions that nothing holds any more on the way back."""
    steps = (step for step in plan.steps[loop.first : loop.last] if step.id in loop.steps and step.kind == "loosen")
    stages = ((step.position, plan.stage_of(step)) for step in steps)
    return frozenset(position for position, stage in stages if isinstance(stage, Loosen) and stage.by is None)
