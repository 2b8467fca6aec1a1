"""The effect of pulls, turns and loosening on the state of a run."""

from __future__ import annotations

from typing import Literal

from msgspec.structs import replace

from clampbook.procedure.model import Align, Recheck, Stage, Tighten, Turn
from clampbook.run import events as e
from clampbook.run.fold.fastener import Fastener, seated
from clampbook.run.fold.frames import advance, ask
from clampbook.run.plan import Plan
from clampbook.run.progress import Outcome, Progress, Question, Standing, Why

# the cause of a decision about a pull that stays under again and again
THIRD_UNDER: Literal["third under"] = "third under"
ASK_AFTER_UNDER = 3  # readings (common practice, no source)
NOT_ALIGNED: Literal["not aligned"] = "not aligned"  # no slot is met
ANOTHER_WASHER: Literal["another washer"] = "another washer"  # starts over with it, and the same nut
# causes of a decision about a pull on another position
OUT_OF_TURN: tuple[Literal["pulled out of turn"], Literal["pulled again"]] = ("pulled out of turn", "pulled again")
AFTER_LIMIT = "after its time limit"
PREVAILING_CAUSES: dict[str, Why] = {"under": "prevailing torque too low", "over": "prevailing torque too high"}


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
        unmoved=False,
    )


def harmless(stage: Stage, fastener: Fastener) -> bool:
    """True where a bad pull is simply made again: not where it was over, nor where it may have been, as
    nobody knows how far it went, unless it is backed off first; and never a turn, which has lost its place.
    """
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
    # `handled`, `answered` and the pull in one: every reading comes through here.
    answer = {"last_answer": event.seq, "last_answer_step": step, "last_answer_item": None}
    return replace(progress, found=None, last_pull=event.at, **answer)


def question(progress: Progress, event: e.Event, cause: Why, index: int, position: str, found: str | None) -> Progress:
    return ask(progress, Question(cause=cause, about=event.seq, step=index, positions=(position,), found=found))


def after_limit(plan: Plan, progress: Progress, event: e.Event, index: int) -> Progress:
    """A pull that came after the group's time limit is asked about."""
    position = plan.steps[index].position
    if AFTER_LIMIT not in event.noted or position is None:
        return progress
    return question(progress, event, "limit run out", index, position, None)


def unders_now(before: Standing, index: int, verdict: e.Verdict | None) -> int:
    """Count the readings of this pull that stayed under, one after the other, with one that is judged so."""
    if verdict != "under":
        return 0
    return 1 + (before.unders if before.latest_step == index and before.outcome == "under" else 0)


def under_again(progress: Progress, event: e.Event, index: int, position: str, state: Standing) -> Progress:
    """A pull that stays under is asked about at every third reading in a row; of a form each reading is asked for."""
    if progress.from_paper or not state.unders or state.unders % ASK_AFTER_UNDER:
        return progress
    return question(progress, event, THIRD_UNDER, index, position, str(state.unders))


def outside_at_the_end(plan: Plan, index: int) -> Why:
    """The cause where the torque at the end of a turn lies outside: at a slot, which has a limit alone, it is over."""
    return "over" if isinstance(plan.stage_of(plan.steps[index]), Align) else "final torque outside"


def read_at_the_end(plan: Plan, progress: Progress, index: int, state: Standing) -> Progress:
    """The value beside a pull or a turn is within: the step is done, but at a slot the nut is locked first. A pull
    or a turn that is blank on a form stays unknown."""
    if isinstance(plan.stage_of(plan.steps[index]), Align):
        return settle(plan, progress, index, replace(state, awaiting="lock"), "within", finished=False)
    return settle(plan, progress, index, state, "unknown" if state.outcome == "unknown" else "within")


def still_turning(plan: Plan, index: int, outcome: Outcome | e.Verdict | None) -> bool:
    """True where strokes of a turn have not come to its window yet: it goes on, which is not under."""
    stage = plan.stage_of(plan.steps[index])
    return outcome == "under" and isinstance(stage, Turn) and stage.in_strokes


def ends_in_a_torque(plan: Plan, index: int) -> bool:
    """True of a turn, in its last round, of which the torque at its end is read."""
    stage = plan.stage_of(plan.steps[index])
    return isinstance(stage, Turn) and stage.final_torque is not None and plan.steps[index].round == stage.rounds


def turn_settled(
    plan: Plan, progress: Progress, index: int, state: Standing, verdict: e.Verdict, *, by_marks: bool
) -> Progress:
    """A turn that is short stays open; one that is within is done, or waits for its last torque to be read."""
    if verdict == "under":
        return settle(plan, progress, index, state, "under", finished=False)
    outcome: Outcome = "confirmed" if by_marks else "within"
    if ends_in_a_torque(plan, index):
        return settle(plan, progress, index, replace(state, awaiting="final torque"), outcome, finished=False)
    return settle(plan, progress, index, state, outcome)
