"""Passes of a recheck: which one a step belongs to, when it is over, and whether another one follows."""

from __future__ import annotations

from typing import Literal

from msgspec.structs import replace

from clampbook.procedure.model import Recheck
from clampbook.run import events as e
from clampbook.run.fold.again import another_pass
from clampbook.run.fold.frames import advance, ask, frame_at_hand
from clampbook.run.plan import Plan
from clampbook.run.progress import Pass, Progress, Question, in_sample, standing

FIRST_MOVEMENT = "first movement"
# noted where a first movement was to be read and nothing moved, and where the window allows more; older lines have
# neither, and stay what they were sealed as
UNMOVED, PULL_ON = "unmoved", "pull on"
OFF_ITS_MARK: dict[e.Mark, str] = {"short": "short of its mark", "past": "past its mark"}
# causes of a decision: found moved in a follow-up; moved first below its window; found under it in a follow-up
MOVED: Literal["moved"] = "moved"
LOOSE: Literal["loose"] = "loose"
FOUND_UNDER: Literal["found under"] = "found under"


def pass_at(plan: Plan, progress: Progress, index: int) -> Pass:
    """The pass that a recheck step belongs to; one that comes again after its pass was over begins it anew."""
    current = progress.passes.get(plan.run_of[index][0]) or Pass()
    return Pass(number=current.number, allowed=current.allowed) if current.over else current


def round_at(plan: Plan, progress: Progress, index: int) -> int:
    """The round that a plan step (from 0) comes in: of a recheck that is its pass."""
    step = plan.steps[index]
    return pass_at(plan, progress, index).number if step.kind == "recheck" else step.round


def close_pass(plan: Plan, progress: Progress, about: int, index: int) -> Progress:
    """End the pass of a recheck too, where a decision or a correction settled its last position."""
    current = progress.passes.get(plan.run_of[index][0])
    if plan.steps[index].kind != "recheck" or current is None or current.over or progress.questions:
        return progress
    return progress if pass_open(plan, progress, index) else end_pass(plan, progress, about, index)


def pass_open(plan: Plan, progress: Progress, index: int) -> bool:
    """True where a position of this pass is still to be rechecked; all are looked at only out of order."""
    first, last = plan.run_of[index]
    frame = frame_at_hand(progress)
    in_order = not progress.skipped and frame.next == index
    for each in range(index + 1 if in_order else first, last + 1):
        position = plan.steps[each].position
        if position is None or standing(progress, position).through >= each:
            continue
        if not in_sample(progress, plan.steps[each]):
            continue
        if frame.positions is None or position in frame.positions or position in progress.skipped:
            return True
    return False


def end_pass(plan: Plan, progress: Progress, about: int, index: int) -> Progress:
    """Line `about` settled the last step of a pass: another one where something moved, or a question."""
    ends = plan.run_of[index]
    current, stage = progress.passes[ends[0]], plan.stages[plan.steps[index].stage - 1]
    assert isinstance(stage, Recheck)
    over = progress.passes.insert(ends[0], replace(current, over=True))
    if not (current.moved and stage.until_still):
        return advance(plan, replace(progress, passes=over))
    if progress.follows_up or current.number >= stage.at_most + current.allowed:
        asked = replace(progress, passes=over)
        question = Question(
            cause="still moving",
            about=about,
            step=index,
            found=f"{current.moved} still moved in round {current.number}",
        )
        return ask(asked, question)
    return begin_pass(plan, progress, current, ends)


def begin_pass(plan: Plan, progress: Progress, current: Pass, ends: tuple[int, int]) -> Progress:
    """One more pass over all positions of a recheck."""
    following = Pass(number=current.number + 1, allowed=current.allowed)
    progress = replace(progress, passes=progress.passes.insert(ends[0], following))
    return another_pass(plan, progress, *ends)
