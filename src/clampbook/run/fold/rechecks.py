"""What rechecks do to the state of a run: what moved, what was backed off, and passes until all stands still."""

from __future__ import annotations

from decimal import Decimal

from msgspec.structs import replace

from clampbook.procedure.model import Recheck
from clampbook.run import events as e
from clampbook.run.fastener import loosened as loosen
from clampbook.run.fastener import over_all_the_same, told_over
from clampbook.run.fastener import pulled as pull
from clampbook.run.fold.again import another_pass
from clampbook.run.fold.frames import advance, ask, frame_at_hand
from clampbook.run.fold.pulls import handled, pulled, question, settle, under_again, unders_now, worked
from clampbook.run.fold.tools import through, unit_of
from clampbook.run.plan import Plan
from clampbook.run.progress import Outcome, Pass, Progress, Question, Standing, standing

FIRST_MOVEMENT = "first movement"
OFF_ITS_MARK: dict[e.Mark, str] = {"short": "short of its mark", "past": "past its mark"}
# causes of a decision: found moved in a follow-up; moved first below its window; found under it in a follow-up
MOVED, LOOSE, FOUND_UNDER = "moved", "loose", "found under"


def backed_off(plan: Plan, progress: Progress, event: e.BackedOff) -> Progress:
    """It was marked and backed off: the pull comes next, and with it a tightening."""
    index = plan.index_of[event.step]
    position = plan.steps[index].position or ""
    before = standing(progress, position)
    state = replace(
        before,
        fastener=loosen(before.fastener, Decimal(event.by_degrees)),
        awaiting="tighten again",
        latest=event.seq,
        latest_step=index,
        latest_what=None,
    )
    found = progress.found  # "finished" before a break holds for the pull as well
    return settle(plan, replace(handled(progress), found=found), index, state, "loosened", finished=False)


def rechecked(plan: Plan, progress: Progress, event: e.Rechecked) -> Progress:
    """A recheck: where it is under it is pulled on, over is asked; what moved brings another pass, or a question."""
    index = plan.index_of[event.step]
    stage = plan.stage_of(plan.steps[index])
    state = _after(plan, progress, event, index)
    position = plan.steps[index].position or ""
    progress = worked(progress, event, event.step) if event.mark is None else handled(progress)
    if event.tool is not None and event.value is not None:
        progress = replace(progress, last_reading=(event.tool, event.value))
    if not isinstance(stage, Recheck):  # pulled again where the stage allows it: kept, and nothing else changes
        return replace(progress, positions=progress.positions.insert(position, state))
    # to read a first movement it must move: there it is the torque that tells how it was left
    restless = bool(event.moved) and event.method != FIRST_MOVEMENT
    current = _pass_at(plan, progress, index)
    current = replace(current, moved=current.moved + restless)
    progress = replace(progress, passes=progress.passes.insert(plan.run_of[index][0], current))
    return _judged(plan, progress, event, index, state, restless=restless)


def _after(plan: Plan, progress: Progress, event: e.Rechecked, index: int) -> Standing:
    """How the position stands after the line; a look at a mark pulls nothing."""
    before = standing(progress, plan.steps[index].position or "")
    if event.mark is not None:
        return replace(before, latest=event.seq, latest_step=index, latest_what=None)
    torque = Decimal(event.at_fastener) if event.at_fastener is not None else None
    fastener = pull(before.fastener, torque, "recheck", event.seq)
    if event.verdict == "over":
        fastener = told_over(fastener, event.seq, index, f"{event.value} {event.unit}")
    return replace(
        pulled(before, index, event.seq, "recheck", fastener),
        unders=unders_now(before, index, event.verdict),
        last_value=event.value,
        shown_in=unit_of(progress, event.tool),
        reach=through(progress, event.tool),
        judged_by=event.window,
    )


def _judged(
    plan: Plan, progress: Progress, event: e.Rechecked, index: int, state: Standing, *, restless: bool
) -> Progress:
    """What follows from a recheck."""
    step = plan.steps[index]
    stage, position = plan.stage_of(step), step.position or ""
    assert isinstance(stage, Recheck)
    found = None if event.value is None else f"{event.value} {event.unit}"
    if event.verdict == "over":
        progress = settle(plan, progress, index, state, "over", finished=False)
        return question(progress, event, "over", index, position, found)
    if event.verdict == "under":
        progress = settle(plan, progress, index, state, "under", finished=False)
        loose = event.method == FIRST_MOVEMENT and event.moved  # else it is pulled on
        if loose:
            return question(progress, event, LOOSE, index, position, found)
        return under_again(progress, event, index, position, state)
    before = standing(progress, position)
    if progress.follows_up and event.mark is None and before.unders and before.latest_step == index:
        progress = settle(plan, progress, index, state, "moved" if restless else event.verdict, finished=False)
        under = f"{before.last_value} {before.shown_in}"  # what it is pulled to now does not say how it was found
        return question(progress, event, FOUND_UNDER, index, position, under)
    if restless and not stage.until_still:
        if progress.follows_up or event.mark is not None:  # off its mark it is not as it was left, in any run
            progress = settle(plan, progress, index, state, "moved", finished=False)
            return question(progress, event, MOVED, index, position, OFF_ITS_MARK.get(event.mark or "back", found))
        progress = replace(progress, deviations=progress.deviations + 1)
    progress = _finished(progress, index, position, state, _outcome(event, state, restless))
    return advance(plan, progress) if _pass_open(plan, progress, index) else _end_pass(plan, progress, event.seq, index)


def _finished(progress: Progress, index: int, position: str, state: Standing, outcome: Outcome) -> Progress:
    """The position is done in this pass; what comes next is told by the pass."""
    done = replace(state, outcome=outcome, through=max(state.through, index), awaiting=None)
    recent = (*(each for each in progress.recent if each != position), position)[-3:]
    return replace(progress, positions=progress.positions.insert(position, done), recent=recent)


def _outcome(event: e.Rechecked, state: Standing, restless: bool) -> Outcome:
    """The word for a position whose recheck is done; a fastener back at its mark stands as its pull left it."""
    if restless:
        return "moved"
    if event.mark is not None:
        return state.outcome or "confirmed"
    if not event.moved and over_all_the_same(state.fastener, event.window) is not None:  # the pull did nothing
        return "concession"
    return event.verdict or "confirmed"


def _pass_at(plan: Plan, progress: Progress, index: int) -> Pass:
    """The pass that a recheck step belongs to; one that comes again after its pass was over begins it anew."""
    current = progress.passes.get(plan.run_of[index][0]) or Pass()
    return Pass(number=current.number, allowed=current.allowed) if current.over else current


def close_pass(plan: Plan, progress: Progress, about: int, index: int) -> Progress:
    """Where a decision or a correction settled the last position of a recheck, its pass is over too."""
    current = progress.passes.get(plan.run_of[index][0])
    if plan.steps[index].kind != "recheck" or current is None or current.over or progress.questions:
        return progress
    return progress if _pass_open(plan, progress, index) else _end_pass(plan, progress, about, index)


def _pass_open(plan: Plan, progress: Progress, index: int) -> bool:
    """Whether a position of this pass is still to be rechecked; all are looked at only out of order."""
    first, last = plan.run_of[index]
    frame = frame_at_hand(progress)
    in_order = not progress.aside and frame.next == index
    for each in range(index + 1 if in_order else first, last + 1):
        position = plan.steps[each].position
        if position is None or standing(progress, position).through >= each:
            continue
        if frame.positions is None or position in frame.positions or position in progress.aside:
            return True
    return False


def _end_pass(plan: Plan, progress: Progress, about: int, index: int) -> Progress:
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
            cause="still moving", about=about, step=index, found=f"{current.moved} moved in round {current.number}"
        )
        return ask(asked, question)
    return begin_pass(plan, progress, current, ends)


def begin_pass(plan: Plan, progress: Progress, current: Pass, ends: tuple[int, int]) -> Progress:
    """One more pass over all positions of a recheck."""
    following = Pass(number=current.number + 1, allowed=current.allowed)
    progress = replace(progress, passes=progress.passes.insert(ends[0], following))
    return another_pass(plan, progress, *ends)
