"""Prevailing torque that is still to be read: from which on a tool can read it, and up to which the pull that it is
added to can be made with a tool at all."""

from __future__ import annotations

from decimal import Decimal

from msgspec import Struct

from clampbook.figures import show, show_window
from clampbook.tools.aim import Aim
from clampbook.tools.demand import Demand
from clampbook.tools.guard import accepted
from clampbook.tools.setting import on_tool

_HALVINGS = 20  # to a millionth of what may be added


class UpTo(Struct, frozen=True):
    """The greatest prevailing torque with which a tool suits, in the demand's unit and a hair less rather than more;
    and why not beyond."""

    most: Decimal
    beyond: str


def read_from(demand: Demand, aim: Aim) -> Decimal | None:
    """The least torque at the fastener, in the demand's unit, that can be read off the tool; None where nothing below
    that need be read."""
    start = aim.there(_start(aim))
    return start if demand.least is not None and start > demand.least else None


def unreadable(aim: Aim) -> str:
    """A clause about a tool whose scale starts above what may have to be read."""
    return f"{aim.tool.name}: starts at {show(_start(aim), aim.tool.unit)}, less cannot be read"


def usable_up_to(demand: Demand, aim: Aim) -> UpTo | None:
    """Up to which prevailing torque a tool that suits still does once it is read. None where all that may come leaves
    it so, and where it does not suit even with the least.

    Band, error and place on the scale all grow with what is added, so the end is looked for by halving.
    """
    unread = demand.unread
    if unread is None or demand.target is None or _against(demand, aim, Decimal(0)) is not None:
        return None
    usable, too_much = Decimal(0), unread.most - unread.included
    why = _against(demand, aim, too_much)
    if why is None:
        return None
    for _ in range(_HALVINGS):
        middle = (usable + too_much) / 2
        found = _against(demand, aim, middle)
        usable, too_much, why = (middle, too_much, why) if found is None else (usable, middle, found)
    return UpTo(max(usable + unread.included, unread.free), why)


def torque_words(most: Decimal, unit: str | None) -> str:
    """Such a torque for reading, rounded down: "1.61 N·m"."""
    return show_window(None, most, unit or "").removeprefix("at most ")


def _start(aim: Aim) -> Decimal:
    return max(aim.tool.minimum or Decimal(0), aim.tool.resolution or Decimal(0))


def _against(demand: Demand, aim: Aim, more: Decimal) -> str | None:
    """Say why not this tool with so much torque on top of target and window, as a clause; None
    where nothing does.
    """
    assert demand.target is not None
    target, tool, unit = demand.target + more, aim.tool, aim.unit
    low, high = (None if end is None else end + more for end in demand.window)
    if tool.maximum is not None and on_tool(target, unit, tool, aim.through) > tool.maximum:
        return "its scale ends"
    borne = aim.through.greatest(tool.unit)
    if borne is not None and aim.adapter is not None and on_tool(target, unit, tool, aim.through) > borne[0]:
        return f"{aim.adapter.name} {borne[1]}"
    if accepted(demand.accept, tool, target, (low, high), unit, aim.through) is None:
        return "its uncertainty uses up the window"
    room = min((abs(target - end) for end in (low, high) if end is not None), default=None)
    off = None if tool.permissible_deviation is None else target * tool.permissible_deviation / 100
    return (
        "it may be off by more than the window leaves" if off is not None and room is not None and off > room else None
    )
