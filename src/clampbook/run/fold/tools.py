"""What happens to the tools in hand: taken, set, zeroed, dropped, put back."""

from __future__ import annotations

from typing import assert_never

from msgspec.structs import replace
from rpds import HashTrieMap

from clampbook.run import events as e
from clampbook.run.fold.frames import ask
from clampbook.run.progress import InHand, Progress, Question
from clampbook.tools.lever import STRAIGHT, Reach

ToolEvent = e.ToolTaken | e.ToolSet | e.ToolZeroed | e.ToolDropped | e.ToolDoubted | e.ToolReturned
WANTS_ZERO = ("indicating", "angle gauge")


def tool_event(progress: Progress, event: ToolEvent, step: int) -> Progress:
    """The state after a line about a tool; `step` is the plan step at hand."""
    match event:
        case e.ToolTaken():
            return _taken(progress, event)
        case e.ToolSet():
            held = progress.hand[event.tool]
            return _hold(progress, event.tool, replace(held, set_to=event.value))
        case e.ToolZeroed():
            return _zeroed(progress, event, step)
        case e.ToolDropped():
            return _dropped(progress, event)
        case e.ToolDoubted():
            return _doubted(replace(progress, deviations=progress.deviations + 1), event)
        case e.ToolReturned():
            using = _without(progress, event.tool)
            return replace(progress, hand=progress.hand.remove(event.tool), using=using)
        case _ as never:
            assert_never(never)


def _hold(progress: Progress, name: str, held: InHand) -> Progress:
    return replace(progress, hand=progress.hand.insert(name, held))


def _taken(progress: Progress, event: e.ToolTaken) -> Progress:
    """A tool is taken up, or again: it serves what it was asked for, and an indicating one also for readings."""
    tool = event.tool
    before = progress.hand.get(tool.id)
    held = InHand(tool=tool, taken=event.seq, good_since=event.seq)
    if before is not None and not before.out:
        held = replace(before, tool=tool)
    held = replace(held, adapter=event.adapter)
    using = progress.using.insert(event.need, tool.id)
    if tool.kind == "indicating" and event.need == "torque":
        using = using.insert("reading", tool.id)
    if event.reason is not None:
        progress = replace(progress, conceded=progress.conceded + 1, deviations=progress.deviations + 1)
    return replace(progress, hand=progress.hand.insert(tool.id, held), using=using)


def _zeroed(progress: Progress, event: e.ToolZeroed, step: int) -> Progress:
    held = progress.hand[event.tool]
    if event.state == "good":
        return _hold(progress, event.tool, replace(held, zeroed=True, good_since=event.seq))
    cause = "zero came back wrong" if event.state == "came back wrong" else "zero unknown"
    wrong = _hold(progress, event.tool, replace(held, zeroed=False))
    return ask(wrong, Question(cause=cause, about=event.seq, step=step, found=held.tool.name))


def _dropped(progress: Progress, event: e.ToolDropped) -> Progress:
    """A dropped tool is out until checked; going on with it needs a reason, then zero, and its scale typed back."""
    progress = replace(progress, deviations=progress.deviations + 1)
    held = progress.hand[event.tool]
    if event.going_on is not None:
        going_on = replace(held, zeroed=False, set_to=None)
        return _hold(replace(progress, conceded=progress.conceded + 1), event.tool, going_on)
    using = _without(progress, event.tool)
    return _hold(replace(progress, using=using), event.tool, replace(held, out=True, zeroed=False))


def _doubted(progress: Progress, event: e.ToolDoubted) -> Progress:
    """What a check found off serves nothing until it is taken up again, with a reason while it is withdrawn; and then
    it is zeroed, or set, anew."""
    held = progress.hand.get(event.tool)
    if held is None or event.check is None:
        return progress
    laid_down = replace(progress, using=_without(progress, event.tool))
    return _hold(laid_down, event.tool, replace(held, zeroed=False, set_to=None))


def _without(progress: Progress, name: str) -> HashTrieMap[str, str]:
    """What serves which need, without this tool."""
    using = progress.using
    for need, tool in progress.using.items():
        if tool == name:
            using = using.remove(need)
    return using


def unit_of(progress: Progress, tool: str | None) -> str | None:
    """The unit printed on a tool in hand; None where it is not in hand."""
    held = progress.hand.get(tool) if tool is not None else None
    return held.tool.unit if held is not None else None


def through(progress: Progress, tool: str | None) -> Reach:
    """How a tool in hand reaches the fastener."""
    held = progress.hand.get(tool) if tool is not None else None
    return held.through if held is not None else STRAIGHT


def zero_again(progress: Progress) -> Progress:
    """After a break or with a new person, zero is looked at again before the next pull; a setting tool, which has
    none, has its scale typed back instead."""
    hand = progress.hand
    for name, held in progress.hand.items():
        if held.zeroed or held.set_to is not None:
            hand = hand.insert(name, replace(held, zeroed=False, set_to=None))
    return replace(progress, hand=hand)
