"""The stack of frames: which plan step is next, and work that is laid on top of the plan.

The plan itself is the bottom frame. Steps of a frame are chosen by rule (positions, from, to) and never copied.
"""

from __future__ import annotations

from msgspec.structs import replace

from clampbook.procedure.model import Sample, sample_of
from clampbook.procedure.unfolding import JointPlanned
from clampbook.run.plan import Plan, Step
from clampbook.run.progress import LOOKING_BACK, Frame, Progress, Question, Work, in_sample, standing

_OF_PULLS = ("torque", "reading", "angle")  # needs that a tool serves at a pull, and not where something is measured


def bottom(plan: Plan) -> Frame:
    """The plan as the frame that everything else is laid upon."""
    return Frame(
        reason="plan",
        positions=None,
        first=0,
        last=len(plan.steps) - 1,
        next=0,
        interrupts=-1,
        gates_from=0,
        total=len(plan.steps),
    )


def gate_belongs(plan: Plan, frame: Frame, step: Step) -> bool:
    """True where a gate stands in a frame: always in the plan, and where one of its set's positions does; never one of
    another joint."""
    if frame.positions is not None and plan.joints and joint_of_frame(plan, frame) != plan.joint_at(None, step.stage):
        return step.kind == "wait" and step.stage not in plan.joint_of_stage
    if frame.positions is None or step.set is None or step.group is None or frame.gates_from == frame.first:
        return True
    return step.set in frame.positions or of_set(plan, step, frame.positions)


def joint_of_frame(plan: Plan, frame: Frame) -> JointPlanned | None:
    """The joint that a frame is about: that of its positions, else that of the gate it ends with."""
    for position in frame.positions or ():
        return plan.joint_of.get(position)
    return plan.joint_at(None, plan.steps[frame.last].stage) if 0 <= frame.last < len(plan.steps) else None


def of_set(plan: Plan, gate: Step, positions: frozenset[str]) -> bool:
    """True where the set that a gate is asked for holds any of these positions."""
    sets = plan.group_named[gate.group or ""].sets
    return any(each.name == gate.set and not positions.isdisjoint(each.positions) for each in sets)


def belongs(plan: Plan, progress: Progress, frame: Frame, step: Step) -> bool:
    """True where a step is one of a frame's, done or not: its gates, and what was drawn of its positions."""
    if step.position is None:
        return gate_belongs(plan, frame, step)
    if frame.positions is not None and step.position not in frame.positions:
        return False
    return not progress.samples or in_sample(progress, step)


def pending(plan: Plan, progress: Progress, frame: Frame, index: int) -> bool:
    """True where the plan step at `index` is still to be done in this frame."""
    step = plan.steps[index]
    position = step.position
    if not belongs(plan, progress, frame, step):
        return False
    if position is None:
        return True
    found = progress.positions.get(position)
    if found is not None and found.through >= index:
        return False
    if progress.skipped:
        skipped = progress.skipped.get(position)
        return skipped is None or skipped.section != step.section
    return True


def next_pending(plan: Plan, progress: Progress, frame: Frame) -> int:
    """Place of the next step to be done in this frame; `last + 1` where there is none."""
    index = frame.next
    while index <= frame.last and not pending(plan, progress, frame, index):
        index += 1
    return index


def advance(plan: Plan, progress: Progress) -> Progress:
    """Move past what is done, ask about what was skipped before its section ends, and take off finished frames."""
    while True:
        frames = progress.frames
        top = frames[-1]
        if top.prologue:
            return progress
        index = next_pending(plan, progress, top)
        if progress.skipped:
            asked = _ask_aside(plan, progress, top, index)
            if asked is not None:
                return asked
        if index != top.next:
            done = top.done + _counted(plan, progress, top, range(top.next, index))
            top = replace(top, next=index, done=done)
            progress = replace(progress, frames=(*frames[:-1], top))
        if index <= top.last or len(frames) == 1:
            return progress
        progress = replace(progress, frames=_without_top(plan, frames))


def _counted(plan: Plan, progress: Progress, frame: Frame, places: range) -> int:
    """Count the frame's own steps among these of the plan."""
    if frame.reason == "plan":
        return len(places)
    return sum(1 for place in places if belongs(plan, progress, frame, plan.steps[place]))


def _without_top(plan: Plan, frames: tuple[Frame, ...]) -> tuple[Frame, ...]:
    """Take the top frame off; the gate that it interrupted, and ended with, is behind the frame below."""
    top, below = frames[-1], frames[-2]
    if below.next == top.interrupts <= top.last and plan.steps[top.interrupts].position is None:
        below = replace(below, next=below.next + 1)
    return (*frames[:-2], below)


def _ask_aside(plan: Plan, progress: Progress, top: Frame, index: int) -> Progress | None:
    """Before its section is left, what was skipped is asked again."""
    section = plan.steps[index].section if index <= top.last else None
    if progress.questions:
        return None
    for position, skipped in sorted(progress.skipped.items(), key=lambda item: item[1].about):
        if top.positions is not None and position not in top.positions:
            continue
        if section is None or section > skipped.section:
            question = Question(
                cause="skipped", about=skipped.about, step=skipped.step, positions=(position,), found=skipped.reason
            )
            return ask(progress, question)
    return None


def ask(progress: Progress, question: Question) -> Progress:
    """Put a question on top of those that are open."""
    return replace(progress, questions=(*progress.questions, question), deviations=progress.deviations + 1)


def lay_on(plan: Plan, progress: Progress, frame: Frame) -> Progress:
    """Lay a frame on top and count what there is to do in it."""
    steps = 0
    if frame.positions is None or frame.positions or frame.first <= frame.last:
        steps = _counted(plan, progress, frame, range(frame.first, frame.last + 1))
    counted = replace(frame, total=len(frame.prologue) + steps)
    return replace(progress, frames=(*progress.frames, counted))


def frame_at_hand(progress: Progress) -> Frame:
    """The topmost frame that is not merely looking back."""
    return next(frame for frame in reversed(progress.frames) if frame.reason != LOOKING_BACK)


def at_hand(progress: Progress) -> int:
    """Place of the plan step at hand."""
    return frame_at_hand(progress).next


def look_back(plan: Plan, progress: Progress) -> Progress:
    """Lay on a look at the positions completed last, unless one is already laid on or nothing is done yet; who types
    in a form has no bolt to look at."""
    if plan.late or not progress.recent or progress.frames[-1].reason == LOOKING_BACK:
        return progress
    at = at_hand(progress)
    works = tuple(Work("look back", position) for position in progress.recent)
    frame = Frame(
        reason=LOOKING_BACK,
        positions=frozenset(),
        first=at,
        last=at - 1,
        next=at,
        interrupts=-1,
        gates_from=at,
        prologue=works,
    )
    return lay_on(plan, progress, frame)


def finish_work(plan: Plan, progress: Progress) -> Progress:
    """The first piece of inserted work of the top frame is done."""
    top = progress.frames[-1]
    shorter = replace(top, prologue=top.prologue[1:], done=top.done + 1)
    return advance(plan, replace(progress, frames=(*progress.frames[:-1], shorter)))


def pass_gate(plan: Plan, progress: Progress) -> Progress:
    """The gate at hand is behind the top frame, and whatever was accepted there before is past."""
    top = progress.frames[-1]
    cleared = top.cleared if top.cleared > top.next else -1
    further = replace(top, next=top.next + 1, done=top.done + 1, cleared=cleared)
    conceded = progress.conceded.difference(step.id for step in plan.steps[top.next : top.next + 1])
    return advance(plan, replace(progress, frames=(*progress.frames[:-1], further), conceded=conceded))


def to_be_drawn(plan: Plan, progress: Progress, index: int) -> Sample | None:
    """The sample that is to be drawn before a step; None where it is drawn, or all positions are worked on. A form says
    what was looked at, and nothing is drawn for it."""
    step = plan.steps[index]
    return None if step.stage in progress.samples or plan.late else sample_of(plan.stage_of(step))


def left_unsaid(plan: Plan, progress: Progress, step: str) -> bool:
    """True where it is still to be asked how another step than this was left."""
    return progress.ask_state and plan.index_of[step] != progress.state_of


def pull_at_hand(plan: Plan, progress: Progress) -> bool:
    """True where the step at hand is a pull that may have been begun: nothing is to be decided or done before it."""
    index = at_hand(progress)
    if (
        plan.late
        or progress.questions
        or index >= len(plan.steps)
        or not any(need in progress.using for need in _OF_PULLS)
    ):
        return False
    if to_be_drawn(plan, progress, index) is not None:
        return False
    if any(frame.prologue for frame in progress.frames if frame.reason != LOOKING_BACK):
        return False
    step = plan.steps[index]
    awaiting = standing(progress, step.position or "").awaiting
    return step.kind in ("tighten", "turn", "recheck", "loosen") and awaiting in (None, "tighten again")
