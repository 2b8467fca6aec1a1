"""Settings of a tool in its own unit, with or without an adapter, so that the torque lies in its window."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from decimal import ROUND_FLOOR, Decimal

from msgspec import Struct

from clampbook.figures import filled, is_readable, narrowed, step_of
from clampbook.tools.lever import STRAIGHT, NoReach, Reach, reach
from clampbook.tools.model import WORKING, Adapter, Tool
from clampbook.units import Kind, convert, kind_of, show, show_span, show_window

Ends = tuple[Decimal | None, Decimal | None]


class Setting(Struct, frozen=True):
    """A mark on a tool's scale; `unit` is the tool's own."""

    value: Decimal
    unit: str


class CannotHold(Struct, frozen=True):
    """The tool has no scale line that would do, with the reason as a clause behind its name."""

    sentence: str


class Held(Struct, frozen=True):
    """A mark that holds the window: what the tool would show at the target itself (both on its scale), and what the
    fastener gets at the mark, in the sheet's unit."""

    mark: Decimal
    wanted: Decimal
    applied: Decimal


def what_to_set(
    target: Decimal, window: Ends, sheet_unit: str, tool: Tool, adapter: Adapter | None = None
) -> Setting | CannotHold:
    """The mark beside the target, from it towards the middle of the window, that lies in the window and on the scale.

    `target` and `window` are in `sheet_unit` and hold at the fastener; ends that are None are open. Where the target is
    the middle itself, it is the nearest mark. For an indicating tool it is the mark at which to stop.
    """
    held = hold(target, window, sheet_unit, tool, reach(tool, adapter), adapter)
    return held if isinstance(held, CannotHold) else Setting(held.mark, tool.unit)


def hold(
    target: Decimal,
    window: Ends,
    sheet_unit: str,
    tool: Tool,
    through: Reach | NoReach,
    adapter: Adapter | None = None,
    *,
    aimed: bool = True,
) -> Held | CannotHold:
    """The same, with what it comes to; `through` is how the tool reaches the fastener with this adapter.

    Not `aimed` at anything, any mark of the scale that lies in the window will do.
    """
    if tool.kind not in WORKING or kind_of(tool.unit) != Kind.TORQUE:
        return CannotHold(f"{tool.name}: not a torque tool")
    if tool.resolution is None:
        return CannotHold(f"{tool.name}: tools.toml does not say how far apart its scale lines are")
    if isinstance(through, NoReach):
        return CannotHold(through.sentence)
    wanted = on_tool(target, sheet_unit, tool, through)
    low, high = (None if end is None else on_tool(end, sheet_unit, tool, through) for end in window)
    near = _nearest_in(wanted, (low, high))
    most, why = _most(tool, through, adapter)
    near = near if aimed else _nearest_in(near, (tool.minimum, most))
    marks = [mark for mark in _neighbours(near, tool.resolution) if mark > 0 and _inside(mark, (tool.minimum, most))]
    if not marks and why is not None and most is not None and near > most:
        return CannotHold(f"{tool.name}: {why}")
    if not marks:
        return CannotHold(f"{tool.name}: {_ends(near, tool)}{_through(wanted, tool, adapter, through)}")
    found = _beside(marks, wanted, target, window, lambda mark: at_fastener(mark, tool, through, sheet_unit))
    return found or _too_coarse(tool.name, tool.resolution, tool.unit, window, sheet_unit)


def _most(tool: Tool, through: Reach, adapter: Adapter | None) -> tuple[Decimal | None, str | None]:
    """Give the greatest torque that the tool may show: the end of its scale, or what its multiplier bears and the words
    for that."""
    found = through.greatest(tool.unit)
    if found is None or adapter is None or (tool.maximum is not None and tool.maximum <= found[0]):
        return tool.maximum, None
    return found[0], f"{adapter.name} {found[1]}"


def _ends(near: Decimal, tool: Tool) -> str:
    """Say at which end of its scale a tool stops short."""
    assert tool.resolution is not None
    if tool.maximum is not None and near > tool.maximum:
        return f"ends at {show(tool.maximum, tool.unit)}"
    return f"starts at {show(max(tool.minimum or Decimal(0), tool.resolution), tool.unit)}"


def _through(wanted: Decimal, tool: Tool, adapter: Adapter | None, through: Reach) -> str:
    return "" if adapter is None or through == STRAIGHT else f", {adapter.name} needs {show(wanted, tool.unit)}"


def _nearest_in(wanted: Decimal, window: Ends) -> Decimal:
    """Give what is wanted, or the end of the window that is nearest to it: a guard can leave the target
    itself outside.
    """
    low, high = window
    wanted = wanted if low is None else max(wanted, low)
    return wanted if high is None else min(wanted, high)


def mark_beside(
    target: Decimal, window: Ends, sheet_unit: str, unit: str, step: Decimal, through: Reach
) -> Setting | CannotHold:
    """The same for any scale with these steps in `unit`, however far it reaches."""
    wanted = convert(through.on_tool(target), sheet_unit, unit)
    marks = [mark for mark in _neighbours(wanted, step) if mark > 0]
    found = _beside(marks, wanted, target, window, lambda mark: through.at_fastener(convert(mark, unit, sheet_unit)))
    return Setting(found.mark, unit) if found else _too_coarse("the tool", step, unit, window, sheet_unit)


def _beside(
    marks: Sequence[Decimal], wanted: Decimal, target: Decimal, window: Ends, there: Callable[[Decimal], Decimal]
) -> Held | None:
    """Of the marks beside the target the one that holds the window, from the target towards the window's middle."""
    fitting = [Held(mark, wanted, got) for mark in marks if _inside(got := there(mark), window)]
    if len(fitting) < 2:
        return fitting[0] if fitting else None
    middle = _middle(target, window)
    towards = [each for each in fitting if (middle - target) * (each.applied - target) >= 0]
    return min(towards or fitting, key=lambda each: (abs(each.mark - wanted), abs(each.applied - middle)))


def _too_coarse(name: str, step: Decimal, unit: str, window: Ends, sheet_unit: str) -> CannotHold:
    asked = show_window(*window, sheet_unit)
    return CannotHold(f"{name}: scale lines {show(step, unit)} apart, too coarse for {asked}")


def on_tool(torque: Decimal, sheet_unit: str, tool: Tool, through: Reach = STRAIGHT) -> Decimal:
    """Torque that the tool shows, in its own unit, while the fastener gets this one."""
    return convert(through.on_tool(torque), sheet_unit, tool.unit)


def at_fastener(shown: Decimal, tool: Tool, through: Reach, sheet_unit: str) -> Decimal:
    """Torque at the fastener, in the sheet's unit, while the tool shows this."""
    return through.at_fastener(convert(shown, tool.unit, sheet_unit))


def window_on_tool(
    window: Ends, sheet_unit: str, tool: Tool, through: Reach = STRAIGHT, finest: Decimal | None = None
) -> Ends:
    """The window as the tool shows it, in its own unit: as it stands where that is the sheet's unit too, else rounded
    inwards, and no coarser than its scale, or than `finest`: whatever can be read off it lies inside where it is
    inside, and only there."""
    low, high = (None if end is None else on_tool(end, sheet_unit, tool, through) for end in window)
    step = step_of(low, high, tool.unit, finest or tool.resolution)
    if tool.unit == sheet_unit and through == STRAIGHT and is_readable(*window):
        low, high = (None if end is None else filled(end, step.adjusted()) for end in window)
        return low, high
    return narrowed(window, (low, high), lambda shown: at_fastener(shown, tool, through, sheet_unit), step)


def scale(tool: Tool) -> str:
    """The tool's range as people read it, such as "20–100 N·m"."""
    return show_span(tool.minimum, tool.maximum, tool.unit)


def _neighbours(wanted: Decimal, step: Decimal) -> tuple[Decimal, ...]:
    """The marks just below and just above, or the one that is hit exactly; marks count from zero."""
    below = (wanted / step).to_integral_value(ROUND_FLOOR) * step
    return (below,) if below == wanted else (below, below + step)


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
