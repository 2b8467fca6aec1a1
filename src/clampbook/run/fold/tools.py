"""The handling of the tools in hand: taken, set, zeroed, dropped, found off, put back."""

from __future__ import annotations

from typing import Any

from msgspec.structs import replace
from rpds import HashTrieMap

from clampbook.run import events as e
from clampbook.run.plan import Plan
from clampbook.run.progress import InHand, Progress
from clampbook.tools.lever import STRAIGHT, Reach
from clampbook.tools.model import Tool

ToolEvent = e.ToolTaken | e.ToolSet | e.ToolZeroed | e.ToolDropped | e.ToolSuspected | e.ToolPassed | e.ToolReturned
WANTS_ZERO = ("indicating", "angle gauge")


def hold(progress: Progress, name: str, held: InHand) -> Progress:
    """A tool in hand as it is now."""
    return replace(progress, hand=progress.hand.insert(name, held))


def laid_down(progress: Progress, name: str) -> Progress:
    """Lay a suspect tool down: it serves nothing until it is taken up again, and then it is zeroed, or set, anew."""
    return fresh(replace(progress, using=without(progress, name)), name)


def fresh(progress: Progress, name: str) -> Progress:
    """Its zero is looked at, or its scale typed back, before it is used."""
    held = progress.hand.get(name)
    return progress if held is None else hold(progress, name, replace(held, zeroed=False, set_to=None))


def without(progress: Progress, name: str) -> HashTrieMap[str, str]:
    """Give what serves which need, without this tool."""
    using = progress.using
    for need, tool in progress.using.items():
        if tool == name:
            using = using.remove(need)
    return using


def instrument(progress: Progress, tool: str | None) -> Tool | None:
    """A tool in hand; None where it is not in hand."""
    held = progress.hand.get(tool) if tool is not None else None
    return None if held is None else held.tool


def showing(progress: Progress, tool: str | None) -> dict[str, Any]:
    """The origin of a value, as its position keeps it: the tool, its unit, how it reached the fastener."""
    held = progress.hand.get(tool) if tool is not None else None
    if held is None:
        return {"instrument": None, "shown_in": None, "reach": STRAIGHT}
    return {"instrument": held.tool, "shown_in": held.tool.unit, "reach": held.through}


def unit_of(progress: Progress, tool: str | None) -> str | None:
    """The unit printed on a tool in hand; None where it is not in hand."""
    held = instrument(progress, tool)
    return held.unit if held is not None else None


def through(progress: Progress, tool: str | None) -> Reach:
    """Tell how a tool in hand reaches the fastener."""
    held = progress.hand.get(tool) if tool is not None else None
    return held.through if held is not None else STRAIGHT


def zero_again(plan: Plan, progress: Progress) -> Progress:
    """After a break or with a new person, zero is looked at again before the next pull; a setting tool, which has
    none, has its scale typed back instead. Nobody pulls while a form is typed in."""
    return progress if plan.late else as_if_picked_up(progress)


def as_if_picked_up(progress: Progress) -> Progress:
    """No zero of the tools in hand is known any more, nor what they are set to; on a form a zero stands once for each
    tool."""
    hand = progress.hand
    for name, held in progress.hand.items():
        if held.zeroed or held.set_to is not None or held.set_blank:
            zeroed = held.zeroed and progress.from_paper
            hand = hand.insert(name, replace(held, zeroed=zeroed, set_to=None, set_blank=False))
    return replace(progress, hand=hand)


def serving_no_pull(progress: Progress) -> Progress:
    """Nothing in hand serves a pull or a turn until it is named again; what measures serves a stage of its own."""
    using = progress.using
    for need in ("torque", "reading", "angle"):
        using = using.discard(need)
    return replace(progress, using=using)


def kind_named(tool: str, tools: tuple[Tool, ...]) -> str | None:
    """The kind of a tool; None where nobody knows it."""
    return next((each.kind for each in tools if each.id == tool), None)


def name_of(tool: str, tools: tuple[Tool, ...]) -> str:
    """The name that stands on a tool; one that nobody knows is called by its id."""
    return next((each.name for each in tools if each.id == tool), tool)
