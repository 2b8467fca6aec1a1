"""What pulls, turns and loosening do to the state of a run."""

from __future__ import annotations

from decimal import Decimal

from msgspec.structs import replace

from clampbook.procedure.model import Recheck, Stage, Tighten, Turn
from clampbook.run import events as e
from clampbook.run.fastener import Fastener, seated, told_over
from clampbook.run.fastener import pulled as pull
from clampbook.run.fastener import turned as turn
from clampbook.run.fold.frames import advance, ask, frame_at_hand, pending
from clampbook.run.fold.tools import through, unit_of
from clampbook.run.plan import Plan
from clampbook.run.progress import Outcome, Progress, Question, Standing, standing

THIRD_UNDER = "third under"  # the cause of a decision about a pull that stays under again and again
ASK_AFTER_UNDER = 3  # readings (common practice, no source)
OUT_OF_TURN = ("pulled out of turn", "pulled again")  # causes of a decision about a pull on another position
AFTER_LIMIT = "after its time limit"
RUN_DOWN_CAUSES = {"under": "prevailing torque too low", "over": "prevailing torque too high"}


def settle(
    plan: Plan, progress: Progress, index: int, state: Standing, outcome: Outcome | None, *, finished: bool = True
) -> Progress:
    """Store how the position of a plan step stands; where the step is finished, go on to the next."""
    position = plan.steps[index].position
    assert position is not None
    if not finished:
        changed = replace(state, outcome=outcome)
        return replace(progress, positions=progress.positions.insert(position, changed))
    done = replace(state, outcome=outcome, through=max(state.through, index), awaiting=None)
    recent = progress.recent
    if not recent or recent[-1] != position:
        recent = (*(each for each in recent if each != position), position)[-3:]
    moved_on = replace(progress, positions=progress.positions.insert(position, done), recent=recent)
    return advance(plan, moved_on)


def pulled(state: Standing, index: int, seq: int, what: str | None, fastener: Fastener) -> Standing:
    """A pull was made at a position, which left its fastener like this; the first pull since it was loose, or loosened
    by so many degrees, counts as a tightening."""
    spent = seated(fastener) and (state.fastener.loosened_by is not None or not seated(state.fastener))
    return replace(
        state,
        latest=seq,
        latest_step=index,
        latest_what=what,
        fastener=fastener,
        tightenings=state.tightenings + spent,
        last_value=None,
        last_click=None,
    )


def harmless(stage: Stage, fastener: Fastener) -> bool:
    """Whether a bad pull is simply made again: not where it was over, nor where it may have been, as nobody knows how
    far it went, unless it is backed off first; and never a turn, which has lost its place."""
    backed_off = isinstance(stage, Recheck) and stage.back_off is not None
    pull = isinstance(stage, Tighten | Recheck)
    return pull and fastener.over is None and (backed_off or not fastener.unread)


def handled(progress: Progress) -> Progress:
    """Hands were laid on a fastener: what was found before a break is settled by it."""
    return replace(progress, found=None)


def answered(progress: Progress, event: e.Event, step: str) -> Progress:
    """The last line that can be corrected or voided is this one."""
    return replace(progress, last_answer=event.seq, last_answer_step=step, last_answer_item=None)


def worked(progress: Progress, event: e.Event, step: str) -> Progress:
    """A pull was made: by whom, and when."""
    return replace(answered(handled(progress), event, step), last_pull=event.at)


def question(progress: Progress, event: e.Event, cause: str, index: int, position: str, found: str | None) -> Progress:
    return ask(progress, Question(cause=cause, about=event.seq, step=index, positions=(position,), found=found))


def after_limit(plan: Plan, progress: Progress, event: e.Event, index: int) -> Progress:
    """A pull that came after the group's time limit is asked about."""
    position = plan.steps[index].position
    if AFTER_LIMIT not in event.noted or position is None:
        return progress
    return question(progress, event, "limit run out", index, position, None)


def reading_taken(plan: Plan, progress: Progress, event: e.ReadingTaken) -> Progress:
    """A reading: within goes on, under is pulled again, over is asked."""
    index = plan.index_of[event.step]
    position = plan.steps[index].position or ""
    before = standing(progress, position)
    fastener = pull(before.fastener, Decimal(event.at_fastener), "reading", event.seq)
    if event.verdict == "over":
        fastener = told_over(fastener, event.seq, index, f"{event.value} {event.unit}")
    state = replace(
        pulled(before, index, event.seq, "reading", fastener),
        unders=unders_now(before, index, event.verdict),
        last_value=event.value,
        shown_in=unit_of(progress, event.tool),
        reach=through(progress, event.tool),
        judged_by=event.window,
    )
    progress = replace(worked(progress, event, event.step), last_reading=(event.tool, event.value))
    if event.verdict == "over":
        progress = settle(plan, progress, index, state, "over", finished=False)
        progress = question(progress, event, "over", index, position, f"{event.value} {event.unit}")
        return after_limit(plan, progress, event, index)
    stage = plan.stages[plan.steps[index].stage - 1]
    if event.verdict == "within" and isinstance(stage, Tighten) and stage.stretch is not None:
        progress = settle(plan, progress, index, replace(state, awaiting="stretch"), "under", finished=False)
    elif event.verdict == "within":
        progress = _where_it_should_be(plan, progress, index, state, "within")
    else:
        progress = settle(plan, progress, index, state, event.verdict, finished=False)
    return after_limit(plan, under_again(progress, event, index, position, state), event, index)


def unders_now(before: Standing, index: int, verdict: e.Verdict | None) -> int:
    """How many readings of this pull stayed under, one after the other, with one that is judged so."""
    if verdict != "under":
        return 0
    return 1 + (before.unders if before.latest_step == index and before.outcome == "under" else 0)


def under_again(progress: Progress, event: e.Event, index: int, position: str, state: Standing) -> Progress:
    """A pull that stays under is asked about at every third reading in a row."""
    if not state.unders or state.unders % ASK_AFTER_UNDER:
        return progress
    return question(progress, event, THIRD_UNDER, index, position, str(state.unders))


def _where_it_should_be(plan: Plan, progress: Progress, index: int, state: Standing, outcome: Outcome) -> Progress:
    """The step is done; of a fastener that was backed off first, its mark is still to be looked at."""
    if state.awaiting != "tighten again":
        return settle(plan, progress, index, state, outcome)
    return settle(plan, progress, index, replace(state, awaiting="mark"), outcome, finished=False)


def released(plan: Plan, progress: Progress, event: e.Released) -> Progress:
    """A setting tool let go once: done, without a number."""
    index = plan.index_of[event.step]
    before = standing(progress, plan.steps[index].position or "")
    fastener = pull(before.fastener, Decimal(event.at_fastener), "setting", event.seq)
    progress = worked(progress, event, event.step)
    if event.verdict == "over":
        found = f"{event.set_to} {event.unit}"
        state = pulled(before, index, event.seq, "release", told_over(fastener, event.seq, index, found))
        progress = settle(plan, progress, index, state, "over", finished=False)
        return after_limit(
            plan, question(progress, event, "over", index, plan.steps[index].position or "", found), event, index
        )
    state = pulled(before, index, event.seq, "release", fastener)
    if event.verdict == "under":
        progress = settle(plan, progress, index, state, "under", finished=False)
    else:
        progress = _where_it_should_be(plan, progress, index, state, "released")
    return after_limit(plan, progress, event, index)


def confirmed(plan: Plan, progress: Progress, event: e.Confirmed) -> Progress:
    """Several releases in one answer: every position from the first to the last step that was still to be done."""
    first, last = plan.index_of[event.first], plan.index_of[event.last]
    progress = worked(progress, event, event.last)
    frame = frame_at_hand(progress)
    block = [index for index in range(first, last + 1) if pending(plan, progress, frame, index)]
    for index in block:
        position = plan.steps[index].position
        if position is None:
            continue
        before = standing(progress, position)
        fastener = pull(before.fastener, Decimal(event.at_fastener), "setting", event.seq)
        state = pulled(before, index, event.seq, "release", fastener)
        done = replace(state, outcome="released", through=index)
        recent = (*(each for each in progress.recent if each != position), position)[-3:]
        progress = replace(progress, positions=progress.positions.insert(position, done), recent=recent)
    return advance(plan, progress)


def turned(plan: Plan, progress: Progress, event: e.Turned) -> Progress:
    """A stroke of a turn: short asks for the remainder, beyond is asked, and a last torque may still be wanted."""
    index = plan.index_of[event.step]
    step = plan.steps[index]
    position = step.position or ""
    before = standing(progress, position)
    total = None if event.sum is None else Decimal(event.sum)
    stroke = None if event.value is None else Decimal(event.value)
    fastener = turn(before.fastener, index, total, stroke)
    if event.verdict == "over":
        fastener = told_over(fastener, event.seq, index, f"{event.sum}°")
    state = pulled(before, index, event.seq, "turn", fastener)
    progress = replace(worked(progress, event, event.step), ask_state=False)
    if event.verdict == "over":
        progress = settle(plan, progress, index, state, "over", finished=False)
        progress = question(progress, event, "over", index, position, f"{event.sum}°")
        return after_limit(plan, progress, event, index)
    progress = turn_settled(plan, progress, index, state, event.verdict, by_marks=event.value is None)
    return after_limit(plan, progress, event, index)


def turn_settled(
    plan: Plan, progress: Progress, index: int, state: Standing, verdict: e.Verdict, *, by_marks: bool
) -> Progress:
    """A turn that is short stays open; one that is within is done, or waits for its last torque to be read."""
    if verdict == "under":
        return settle(plan, progress, index, state, "under", finished=False)
    outcome: Outcome = "confirmed" if by_marks else "within"
    stage = plan.stages[plan.steps[index].stage - 1]
    if isinstance(stage, Turn) and stage.final_torque is not None and plan.steps[index].round == stage.rounds:
        return settle(plan, progress, index, replace(state, awaiting="final torque"), outcome, finished=False)
    return settle(plan, progress, index, state, outcome)
