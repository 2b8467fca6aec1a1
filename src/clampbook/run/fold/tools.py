"""What happens to the tools in hand: taken, set, zeroed, dropped, found off, put back."""

from __future__ import annotations

from typing import assert_never

from msgspec.structs import replace
from rpds import HashTrieMap

from clampbook.run import events as e
from clampbook.run.fold import trouble
from clampbook.run.fold.frames import ask
from clampbook.run.progress import InHand, Progress, Question
from clampbook.tools.lever import STRAIGHT, Reach

ToolEvent = e.ToolTaken | e.ToolSet | e.ToolZeroed | e.ToolDropped | e.ToolDoubted | e.ToolPassed | e.ToolReturned
WANTS_ZERO = ("indicating", "angle gauge")


def tool_event(progress: Progress, event: ToolEvent, step: int) -> Progress:
    """The state after a line about a tool; `step` is the plan step at hand."""
    match event:
        case e.ToolTaken():
            if event.another or event.same is False:
                progress = _begun_anew(progress, event)
            return _taken(trouble.known_of(progress, event), event)
        case e.ToolSet():
            held = progress.hand[event.tool]
            read = replace(progress, scales=progress.scales | {event.tool})
            return _hold(read, event.tool, replace(held, set_to=event.value))
        case e.ToolZeroed():
            return _zeroed(progress, event, step)
        case e.ToolDropped():
            return _dropped(progress, event)
        case e.ToolDoubted():
            return _laid_down(trouble.doubted(progress, event), event.tool)
        case e.ToolPassed():
            return _fresh(trouble.passed(progress, event), event.tool)
        case e.ToolReturned():
            using = _without(progress, event.tool)
            return replace(progress, hand=progress.hand.remove(event.tool), using=using)
        case _ as never:
            assert_never(never)


def _hold(progress: Progress, name: str, held: InHand) -> Progress:
    return replace(progress, hand=progress.hand.insert(name, held))


def _begun_anew(progress: Progress, event: e.ToolTaken) -> Progress:
    """What had this id before is another tool: nothing that the run knows of that one is of this one."""
    id = event.tool.id
    progress = trouble.another(replace(progress, scales=progress.scales - {id}), id, event.seq)
    return replace(progress, hand=progress.hand.discard(id), using=_without(progress, id))


def _taken(progress: Progress, event: e.ToolTaken) -> Progress:
    """A tool is taken up, or again: it serves what it was asked for, and an indicating one also for readings. One that
    is in trouble is zeroed, or set, anew."""
    tool = event.tool
    before = progress.hand.get(tool.id)
    held = InHand(tool=tool, taken=event.seq, good_since=event.seq) if before is None else replace(before, tool=tool)
    if tool.id in progress.troubles or tool.id in progress.failed:
        held = replace(held, zeroed=False, set_to=None)
    held = replace(held, adapter=event.adapter)
    using = progress.using.insert(event.need, tool.id)
    if tool.kind == "indicating" and event.need == "torque":
        using = using.insert("reading", tool.id)
    if event.reason is not None:
        progress = replace(progress, conceded=progress.conceded + 1, deviations=progress.deviations + 1)
        progress = trouble.borne(progress, tool.id, event.causes, event.reason)
    if tool.serial is not None:
        progress = replace(progress, serials=progress.serials.insert(tool.id, tool.serial))
    return replace(progress, hand=progress.hand.insert(tool.id, held), using=using)


def _zeroed(progress: Progress, event: e.ToolZeroed, step: int) -> Progress:
    held = progress.hand[event.tool]
    if event.state == "good":
        good = _hold(progress, event.tool, replace(held, zeroed=True, good_since=event.seq))
        return trouble.zero_is_good(good, event)
    cause = "zero came back wrong" if event.state == "came back wrong" else "zero unknown"
    wrong = trouble.zero_is_not_good(progress, event, held)
    wrong = _hold(wrong, event.tool, replace(held, zeroed=False))
    return ask(wrong, Question(cause=cause, about=event.seq, step=step, found=held.tool.name))


def _dropped(progress: Progress, event: e.ToolDropped) -> Progress:
    """A dropped tool is laid down, or the work goes on with it for a reason; then its zero is looked at, or its scale
    typed back."""
    progress = trouble.dropped(replace(progress, deviations=progress.deviations + 1), event)
    if event.going_on is not None:
        fell = (progress.troubles[event.tool][-1].cause,)
        gone_on = trouble.borne(progress, event.tool, fell, event.going_on)
        return _fresh(replace(gone_on, conceded=progress.conceded + 1), event.tool)
    return _laid_down(progress, event.tool)


def _laid_down(progress: Progress, name: str) -> Progress:
    """What is in doubt serves nothing until it is taken up again; and then it is zeroed, or set, anew."""
    return _fresh(replace(progress, using=_without(progress, name)), name)


def _fresh(progress: Progress, name: str) -> Progress:
    held = progress.hand.get(name)
    return progress if held is None else _hold(progress, name, replace(held, zeroed=False, set_to=None))


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
