"""The fold: `apply(plan, progress, event)` gives the state after one more line. It trusts what the line says."""

from __future__ import annotations

from decimal import Decimal
from functools import reduce
from typing import assert_never

from msgspec.structs import replace
from rpds import HashTrieMap

from clampbook.procedure.model import Loosen, Recheck, Tighten, Turn, Unmoved
from clampbook.run import events as e
from clampbook.run import kinds, questions
from clampbook.run.fastener import (
    AT_THE_START,
    LOOSE,
    NOT_KNOWN,
    Fastener,
    broke,
    loosened,
    pulled,
)
from clampbook.run.fold import corrections, tools, trouble
from clampbook.run.fold.entering import entered
from clampbook.run.fold.frames import advance, ask, at_hand, bottom, look_back
from clampbook.run.fold.judged import told_by_what
from clampbook.run.fold.leaving import left_by
from clampbook.run.fold.pulls import THIRD_UNDER
from clampbook.run.independence import LOOKED_BEFORE, shared
from clampbook.run.plan import Plan
from clampbook.run.progress import AFTER_SILENCE, Aside, Progress, Question, Standing, standing

# lines that say nothing of the step at hand: whoever returns with one of them is asked how it is found
BESIDE_THE_WORK = (
    e.Noted,
    e.HandedOver,
    e.MapTurned,
    e.ArrivedUnasked,
    e.ToolTaken,
    e.ToolDropped,
    e.ToolDoubted,
    e.ToolPassed,
    e.ProcedureWithdrawn,
)


def begin(plan: Plan) -> Progress:
    """The state before the first line."""
    return Progress(frames=(bottom(plan),))


def fold(plan: Plan, events: list[e.Event]) -> Progress:
    """The state after all these lines."""
    return reduce(lambda progress, event: apply(plan, progress, event), events, begin(plan))


def apply(plan: Plan, progress: Progress, event: e.Event) -> Progress:
    """The state after one more line."""
    before = progress.ended_at
    hand = progress.frames[-1].next
    if isinstance(event, trouble.Used):
        progress = trouble.used(progress, event)
    after = _applied(plan, replace(progress, seq=event.seq, at=event.at, offset=event.offset), event)
    after = left_by(plan, after, event)
    shares = shared(progress.shares, event)
    if shares is not progress.shares:
        after = replace(after, shares=shares)
    if LOOKED_BEFORE in event.noted:
        after = replace(after, deviations=after.deviations + 1)
    if after.last_answer == event.seq:
        after = replace(after, last_entered=entered(event))
    if hand < len(plan.steps) and after.frames[-1].next != hand:
        stage = plan.steps[hand].stage
        after = replace(after, ended_at=before.insert(stage, event.at))
    if after.questions and after.questions[-1].about == event.seq:
        after = told_by_what(plan, progress, event, after)
    if AFTER_SILENCE in event.noted:
        after = look_back(plan, tools.zero_again(after))
        if isinstance(event, BESIDE_THE_WORK):
            after = replace(after, ask_state=pull_at_hand(plan, after))
    return after


def _applied(plan: Plan, progress: Progress, event: e.Event) -> Progress:
    if isinstance(event, kinds.Written):
        return kinds.of(event).fold(plan, progress, event)
    if isinstance(event, questions.Written):
        return questions.of(event).fold(plan, progress, event)
    match event:
        case e.ToolDropped() | e.ToolDoubted() | e.ToolPassed():
            return tools.tool_event(progress, event)
        case e.Voided():
            return corrections.voided(plan, progress, event)
        case e.Corrected():
            return corrections.corrected(plan, progress, event)
        case _:
            return _around(plan, progress, event)


def _around(
    plan: Plan,
    progress: Progress,
    event: e.Opened
    | e.SetAside
    | e.Broken
    | e.ArrivedUnasked
    | e.Noted
    | e.Paused
    | e.Resumed
    | e.MapTurned
    | e.ProcedureWithdrawn
    | e.HandedOver
    | e.Held
    | e.Abandoned,
) -> Progress:
    """Lines that stand around the work itself."""
    match event:
        case e.Opened():
            return _opened(plan, progress, event)
        case e.SetAside():
            return _set_aside(plan, progress, event)
        case e.Broken():
            return _broken(plan, progress, event)
        case e.ArrivedUnasked() | e.Noted():
            return progress
        case e.Paused():
            return replace(progress, stopped="paused", stop_reason=event.cause)
        case e.Resumed():
            return _resumed(plan, progress, event)
        case e.MapTurned():
            return replace(progress, quarters=event.quarters, from_below=event.from_below)
        case e.ProcedureWithdrawn():
            return replace(progress, withdrawn=True, deviations=progress.deviations + 1)
        case e.HandedOver():
            hands = event.hands.id if event.hands else None
            taken_over = replace(progress, by=event.to.id, hands=hands, found=None)
            asked = replace(taken_over, ask_state=pull_at_hand(plan, taken_over))
            return look_back(plan, tools.zero_again(asked))
        case e.Held():
            return replace(progress, stopped="held", stop_reason=event.reason, deviations=progress.deviations + 1)
        case e.Abandoned():
            return replace(progress, ended="abandoned", ended_reason=event.reason)
        case _:
            assert_never(event)


def _opened(plan: Plan, progress: Progress, event: e.Opened) -> Progress:
    earlier: HashTrieMap[str, Standing] = HashTrieMap()
    before = {} if event.of_run is None else event.of_run.positions
    for position in plan.group_of:
        attempt, tightenings = before.get(position, (1, 0))
        fastener = left_by_the_run_before(event.of_run, position) or found_at_the_start(plan, position)
        state = Standing(attempt=attempt, began_with=attempt, tightenings=tightenings, fastener=fastener)
        earlier = earlier.insert(position, state)
    return advance(
        plan,
        replace(
            progress,
            run=event.run,
            by=event.by,
            hands=event.hands.id if event.hands else None,
            unit=event.unit,
            worked_on=event.unit,
            positions=earlier,
            follows_up=event.of_run is not None,
            deviations=progress.deviations + (event.despite is not None),
        ),
    )


def left_by_the_run_before(earlier: e.Earlier | None, position: str) -> Fastener | None:
    """Its state as the run that is followed up left it; None where there is none, or it was no position of that run."""
    if earlier is None or position not in earlier.positions:
        return None
    if position not in earlier.loosened:
        return AT_THE_START
    by = earlier.loosened[position]
    return loosened(AT_THE_START, None if by is None else Decimal(by))


def found_at_the_start(plan: Plan, position: str) -> Fastener:
    """How a sheet finds a fastener: one that begins with loosening or rechecking it finds it tight, one that begins
    with pulling it finds it put in by hand; of any other nobody can tell."""
    for index in plan.steps_of.get(position, ()):
        stage = plan.stage_of(plan.steps[index])
        if isinstance(stage, Unmoved):
            continue
        match stage:
            case Loosen() | Recheck():
                return AT_THE_START
            case Tighten():
                return LOOSE
            case Turn():
                return NOT_KNOWN
            case _ as never:
                assert_never(never)
    return NOT_KNOWN


def _set_aside(plan: Plan, progress: Progress, event: e.SetAside) -> Progress:
    index = plan.index_of[event.step]
    aside = Aside(step=index, section=plan.steps[index].section, about=event.seq, reason=event.reason)
    state = replace(standing(progress, event.position), outcome="set aside")
    return advance(
        plan,
        replace(
            progress,
            aside=progress.aside.insert(event.position, aside),
            positions=progress.positions.insert(event.position, state),
            found=None,
            ask_state=False,
        ),
    )


def _broken(plan: Plan, progress: Progress, event: e.Broken) -> Progress:
    index = plan.index_of[event.step]
    before = standing(progress, event.position)
    torque = Decimal(event.at_fastener) if event.at_fastener is not None else None
    fastener = before.fastener
    if event.how in ("broken", "stripped"):
        fastener = broke(fastener, torque, event.seq)
    elif torque is not None:
        fastener = pulled(fastener, torque, "reading", event.seq)
    state = replace(
        before,
        fastener=fastener,
        outcome="broken",
        latest=event.seq,
        latest_step=index,
        latest_what=None,
        through=-1,
    )
    kept = replace(progress, positions=progress.positions.insert(event.position, state), found=None)
    question = Question(cause=event.how, about=event.seq, step=index, positions=(event.position,), found=event.reached)
    asked = tuple(each for each in kept.questions if (each.cause, each.positions) != (THIRD_UNDER, (event.position,)))
    return ask(replace(kept, questions=asked), question)


def _resumed(plan: Plan, progress: Progress, event: e.Resumed) -> Progress:
    """The program came back: the step at hand is asked about; after a long gap, what was done last too."""
    new_person = event.person is not None and event.person.id != progress.by
    gap = None if event.gap is None else float(event.gap)
    long = gap is None or event.clock == "doubtful" or gap > float(plan.pause_limit)
    progress = replace(progress, stopped=None, stop_reason=None, ask_state=pull_at_hand(plan, progress), found=None)
    if event.person is not None:
        progress = replace(progress, by=event.person.id, hands=event.hands.id if event.hands else None)
    if long or new_person:
        progress = look_back(plan, tools.zero_again(progress))
    return progress


def pull_at_hand(plan: Plan, progress: Progress) -> bool:
    """Whether the step at hand is a pull that may have been begun: nothing is to be decided or done before it."""
    index = at_hand(progress)
    if progress.questions or index >= len(plan.steps) or not progress.using:
        return False
    if any(frame.prologue for frame in progress.frames if frame.reason != "looking back"):
        return False
    step = plan.steps[index]
    awaiting = standing(progress, step.position or "").awaiting
    return step.kind in ("tighten", "turn", "recheck", "loosen") and awaiting in (None, "tighten again")
