"""Torques and angles as they are told: windows, targets, marks, levers, and a reading with what it is at the bolt."""

from __future__ import annotations

from decimal import Decimal

from clampbook.figures import Ends, beside, in_two_units, show_exactly, show_judging
from clampbook.run.events import Ends as Written
from clampbook.run.plan import Plan
from clampbook.tools.aim import Aim
from clampbook.tools.lever import cosine, turned_back
from clampbook.units import plain, show, show_window, side_by_side

_UNCHANGED = {True: "the reading stays", False: "the setting stays"}  # whether the tool shows one
WINDOW = "window"  # how the line begins that says where a value must lie


def target_line(aim: Aim) -> tuple[str, ...]:
    """The target as the fastener gets it, where there is one."""
    return () if aim.target is None else (f"target {show_torque(aim.target, aim.unit)}",)


def mark_line(aim: Aim) -> tuple[str, ...]:
    """Say what a setting tool is set to; where one that shows a reading is stopped stands in the sentence itself."""
    return () if aim.mark is None or aim.reading else (f"{aim.hand} set to {at_mark(aim)}",)


def lever_line(aim: Aim) -> tuple[str, ...]:
    """Say what the adapter does to the lever, and at what angle it stands: a wrong one means a wrong torque."""
    adapter = aim.adapter
    if adapter is None:
        return ()
    length, name = adapter.extension, adapter.name
    if (ratio := adapter.multiplies_by) is not None:
        return (f"{name} multiplies by {plain(ratio)}",)
    assert length is not None, "an aim is worked out through it"
    if adapter.offset is not None and cosine(adapter.offset) == 0:
        return (f"{name} at {show_exactly(adapter.offset, '°')}, {_UNCHANGED[aim.reading]}",)
    if (back := turned_back(adapter)) is not None and adapter.offset is not None:
        does = "shortens" if back.value < 0 else "lengthens"
        at = show_exactly(adapter.offset, "°")
        return (f"{name} at {at} {does} the lever by {show(abs(back.value), back.unit)}",)
    more = f"{show_exactly(abs(length.value), length.unit)} {'from' if length.value < 0 else 'to'} the lever"
    at = f"at {show_exactly(adapter.offset, '°')} to it" if adapter.offset else "straight on"
    return (f"{name} {'takes' if length.value < 0 else 'adds'} {more}, {at}",)


def windows(aim: Aim) -> str:
    """The window as the hand needs it, and as it holds at the fastener."""
    alike = aim.tool.unit == aim.unit and (aim.adapter is None or aim.on_tool == aim.window)
    if not aim.reading or alike:
        return window_line(aim.window, aim.unit)
    on_tool = show_window(*aim.on_tool, aim.tool.unit, exact=True)
    return f"{WINDOW} {in_two_units(on_tool, show_judging(*aim.window, aim.unit))}"


def show_torque(value: Decimal, unit: str) -> str:
    """A torque of the sheet, in its own unit alone: the other unit stands on the tool's own line."""
    return side_by_side(value, unit, ())


def window_line(window: Ends, unit: str) -> str:
    """ "window 28.0 to 32.0 N·m"."""
    return f"{WINDOW} {show_judging(*window, unit)}"


def at_mark(aim: Aim) -> str:
    """The scale line to set or to stop at, with the unit of that scale."""
    return "" if aim.mark is None else show_exactly(aim.mark, aim.tool.unit)


def with_bolt(value: str, unit: str, at_bolt: str, window: Written | None, plan: Plan, *, set_to: bool = False) -> str:
    """The tool's own number, a reading as it was typed, and what it is at the bolt where that reads otherwise."""
    own = side_by_side(Decimal(value), unit, ()) if set_to else show_exactly(Decimal(value), unit)
    if unit == plan.unit and Decimal(value) == Decimal(at_bolt):
        return own
    low, high = (None if end is None else Decimal(end) for end in window or (None, None))
    return f"{own} ({beside(Decimal(at_bolt), (low, high), plan.unit)[0]})"


def stroke(value: str | None, in_all: str | None) -> str:
    """A stroke of a turn, and the whole turn where that is more: "45°, 92° in all"."""
    return degrees(value) + (f", {degrees(in_all)} in all" if in_all != value else "")


def degrees(value: str | None) -> str:
    """An angle of a line as it stands there."""
    return show_exactly(Decimal(value), "°") if value is not None else "?"
