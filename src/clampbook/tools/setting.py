"""What to set on a tool, in the unit printed on it, so that the torque asked for lies in its window."""

from __future__ import annotations

from decimal import ROUND_FLOOR, Decimal

from msgspec import Struct

from clampbook.tools.model import Tool
from clampbook.units import Kind, convert, kind_of, show, show_window

Ends = tuple[Decimal | None, Decimal | None]


class Setting(Struct, frozen=True):
    """A mark on a tool's scale; `unit` is the tool's own."""

    value: Decimal
    unit: str


class CannotHold(Struct, frozen=True):
    """The tool has no mark that would do, with the reason as a sentence."""

    sentence: str


def what_to_set(target: Decimal, window: Ends, sheet_unit: str, tool: Tool) -> Setting | CannotHold:
    """The mark on the tool nearest to the target that lies in the window and on the scale.

    `target` and `window` are in `sheet_unit`, ends that are None are open. Of two marks equally near it is the one
    nearer to the middle of the window. For an indicating tool it is the mark at which to stop.
    """
    if tool.kind not in ("setting", "indicating") or kind_of(tool.unit) != Kind.TORQUE:
        return CannotHold(f"{tool.name} is no torque tool")
    if tool.resolution is None:
        return CannotHold(f"{tool.name} has no resolution in tools.toml: write how fine its scale is")
    wanted = convert(target, sheet_unit, tool.unit)
    on_scale = [mark for mark in _neighbours(wanted, tool.resolution) if _on_scale(mark, tool)]
    if not on_scale:
        return CannotHold(f"{show(wanted, tool.unit)} lies outside the scale of {tool.name} ({scale(tool)})")
    fitting = [mark for mark in on_scale if _inside(convert(mark, tool.unit, sheet_unit), window)]
    if not fitting:
        step, asked = show(tool.resolution, tool.unit), show_window(*window, sheet_unit)
        return CannotHold(f"{tool.name} goes in steps of {step}, and no mark beside the target lies within {asked}")
    middle = _middle(target, window)
    nearest = min(fitting, key=lambda mark: (abs(mark - wanted), abs(convert(mark, tool.unit, sheet_unit) - middle)))
    return Setting(nearest, tool.unit)


def scale(tool: Tool) -> str:
    """The tool's range as people read it, such as "20 – 100 N·m"."""
    return show_window(tool.minimum, tool.maximum, tool.unit)


def _neighbours(wanted: Decimal, step: Decimal) -> tuple[Decimal, ...]:
    """The marks just below and just above, or the one that is hit exactly; marks count from zero."""
    below = (wanted / step).to_integral_value(ROUND_FLOOR) * step
    return (below,) if below == wanted else (below, below + step)


def _on_scale(mark: Decimal, tool: Tool) -> bool:
    return mark > 0 and _inside(mark, (tool.minimum, tool.maximum))


def _inside(value: Decimal, window: Ends) -> bool:
    low, high = window
    return (low is None or value >= low) and (high is None or value <= high)


def _middle(target: Decimal, window: Ends) -> Decimal:
    """The middle of the window; where an end is open, the other side of the target stands for it."""
    low, high = window
    if low is not None and high is not None:
        return (low + high) / 2
    if low is not None:
        return target + (target - low)
    if high is not None:
        return target - (high - target)
    return target
