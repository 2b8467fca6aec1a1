"""The fold: `apply(plan, progress, event)` gives the state after one more line. It trusts what the line says."""

from __future__ import annotations

from functools import reduce

from msgspec.structs import replace

from clampbook.run import events as e
from clampbook.run.fold import tools, trouble
from clampbook.run.fold.departing import departs
from clampbook.run.fold.drawing import grown
from clampbook.run.fold.entering import entered
from clampbook.run.fold.frames import at_hand, bottom, look_back, pull_at_hand
from clampbook.run.fold.independence import shared
from clampbook.run.fold.judged import told_by_what
from clampbook.run.fold.leaving import left_by
from clampbook.run.fold.taking_back import remembering
from clampbook.run.lines import leaves
from clampbook.run.plan import Plan
from clampbook.run.progress import AFTER_SILENCE, Progress

# lines that say nothing of the step at hand: whoever returns with one of them is asked how it is found
BESIDE_THE_WORK = (
    e.Noted,
    e.HandedOver,
    e.MapTurned,
    e.ArrivedUnasked,
    e.ToolTaken,
    e.ToolDropped,
    e.ToolSuspected,
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
    if isinstance(event, e.TakenBack):
        return leaves(event).fold(plan, replace(progress, seq=event.seq, at=event.at, offset=event.offset), event)
    progress = remembering(plan, progress, event)
    before = progress.ended_at
    if progress.samples:
        progress = grown(plan, progress, event)
    hand = progress.frames[-1].next
    if isinstance(event, trouble.USED):
        progress = trouble.used(progress, event)
    after = leaves(event).fold(plan, replace(progress, seq=event.seq, at=event.at, offset=event.offset), event)
    after = left_by(plan, after, event)
    shares = shared(progress.shares, event)
    if shares is not progress.shares:
        after = replace(after, shares=shares)
    if departs(event, progress.at) and after.deviations == progress.deviations:  # else it is told already
        after = replace(after, deviations=after.deviations + 1)
    if after.last_answer == event.seq:
        after = replace(after, last_entered=entered(event))
    if hand < len(plan.steps) and after.frames[-1].next != hand:
        stage = plan.steps[hand].stage
        after = replace(after, ended_at=before.insert(stage, event.at))
    if after.ask_state and at_hand(after) >= len(plan.steps):  # a correction or decision left no step to ask about
        after = replace(after, ask_state=False)
    if after.questions and after.questions[-1].about == event.seq:
        after = told_by_what(plan, progress, event, after)
    if AFTER_SILENCE in event.noted:
        after = look_back(plan, tools.zero_again(plan, after))
        if isinstance(event, BESIDE_THE_WORK):
            after = replace(after, ask_state=pull_at_hand(plan, after))
    if after.ask_state and (not progress.ask_state or isinstance(event, e.Resumed | e.HandedOver)):
        after = replace(after, state_of=at_hand(after))
    return after
