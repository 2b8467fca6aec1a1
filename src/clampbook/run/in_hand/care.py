"""The care that a tool needs from the person who holds it, said once where it is of use: reminders that fit the
tool and do not nag.
"""

from __future__ import annotations

from collections.abc import Iterable

from clampbook.tools.model import Tool
from clampbook.units import show


def at_take_up(tool: Tool) -> tuple[str, ...]:
    """Just after a setting tool was picked up: its first pulls after storage are often high (common practice, no
    source: stiff grease)."""
    if tool.kind != "setting":
        return ()
    once = "click" if tool.gives == "click" else "pull"
    return (f"after storage: {once} {tool.name} a few times first, not on this joint",)


def before_a_pull(tool: Tool) -> tuple[str, ...]:
    """A follower needle stays where the last pull ended."""
    return ("reset the follower needle",) if tool.follower_needle else ()


def before_a_long_pause(tools: Iterable[Tool]) -> tuple[str, ...]:
    """A spring that is left wound up sets; some tools need winding down, others must not be."""
    return tuple(f"Wind {tool.name} down{to_where(tool)} before a long break." for tool in tools if tool.wound_down)


def to_where(tool: Tool) -> str:
    """Say how far a tool is wound down: " to 20 N·m", its lowest mark where nothing else is said."""
    mark = tool.wound_down_to if tool.wound_down_to is not None else tool.minimum
    return "" if mark is None else f" to {show(mark, tool.unit)}"
