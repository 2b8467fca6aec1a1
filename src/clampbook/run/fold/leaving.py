"""The people who laid hands on each fastener last: the next person is asked whether it is as that one left it."""

from __future__ import annotations

from msgspec.structs import replace

from clampbook.run import events as e
from clampbook.run.plan import Plan
from clampbook.run.progress import Progress, standing

AT_ITS_STEP = (
    e.ReadingTaken,
    e.Clicked,
    e.Turned,
    e.Rechecked,
    e.BackedOff,
    e.PrevailingRead,
    e.Measured,
    e.Applied,
    e.Aligned,
    e.Marked,
    e.Broken,
)


def left_by(plan: Plan, after: Progress, event: e.Event) -> Progress:
    """The state after a line, with who did it at each fastener that it was done on; a look or a word leaves nothing."""
    positions, hands = after.positions, event.done_by or event.by
    for position in _handled(plan, after, event):
        left = standing(after, position)
        if left.left_by != hands:
            positions = positions.insert(position, replace(left, left_by=hands))
    return after if positions is after.positions else replace(after, positions=positions)


def _handled(plan: Plan, after: Progress, event: e.Event) -> tuple[str, ...]:
    if isinstance(event, e.Confirmed):
        steps = plan.steps[plan.index_of[event.first] : plan.index_of[event.last] + 1]
        named = (step.position for step in steps if step.position is not None)
        return tuple(each for each in named if standing(after, each).latest == event.seq)
    if isinstance(event, e.Loosened):
        return (event.position,)
    if isinstance(event, e.Inspected) and event.work == "new fastener" and event.position is not None:
        return (event.position,)
    if isinstance(event, AT_ITS_STEP) or (isinstance(event, e.Voided) and event.of is None):
        position = plan.steps[plan.index_of[event.step]].position
        return () if position is None else (position,)
    return ()
