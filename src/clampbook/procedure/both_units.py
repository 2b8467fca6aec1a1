"""Torques on paper in both systems, N·m and lbf·ft: the one of the sheet first, the other in brackets behind it."""

from __future__ import annotations

from decimal import Decimal

from clampbook.figures import in_two_units
from clampbook.procedure.model import Window
from clampbook.units import Kind, convert, inwards, kind_of, show, show_span, show_window, side_by_side

Ends = tuple[Decimal | None, Decimal | None]


def other_unit(unit: str) -> str | None:
    """The unit of the other system for a torque; None for anything else."""
    if kind_of(unit) is not Kind.TORQUE:
        return None
    return "lbf·ft" if unit == "N·m" else "N·m"


def torque(value: Decimal, unit: str) -> str:
    """ "30.0 N·m (22.1 lbf·ft)"; other quantities alone."""
    return side_by_side(value, unit) if other_unit(unit) else show(value, unit)


def window(wanted: Window) -> str:
    """ "28.0 to 32.0 N·m (20.7 to 23.6 lbf·ft)", the other one rounded inwards."""
    first, second = both((wanted.low, wanted.high), wanted.unit)
    return in_two_units(first, second) if second else first


def both(ends: Ends, unit: str, *, cell: bool = False) -> tuple[str, str]:
    """The window in its own unit and in the other one, which is empty where there is none; as a `cell` of a table it
    has a dash."""
    shown = show_span if cell else show_window
    other = other_unit(unit)
    if other is None or ends == (None, None):
        return shown(*ends, unit), ""
    return shown(*ends, unit), shown(*inwards(*ends, unit, other), other)


def converted(value: str, unit: str, other: str) -> str:
    """A decimal of a record in another unit, exactly."""
    return format(convert(Decimal(value), unit, other), "f")
