"""Aim of a pull: one value for what judges it, what is set or stopped at, with what, and which way it goes.

Prompt, sentence, verdict, decision, suitability and review take it as it is; no second place works any of it out.
"""

from __future__ import annotations

from decimal import Decimal
from typing import Literal

from msgspec import Struct

from clampbook.figures import Verdict, judge, show_exactly
from clampbook.tools.adapting import serves
from clampbook.tools.demand import Demand
from clampbook.tools.guard import accepted
from clampbook.tools.lever import NoReach, Reach, reach
from clampbook.tools.measuring import cannot_measure
from clampbook.tools.model import WORKING, Adapter, Tool, way_word
from clampbook.tools.setting import CannotHold, Ends, Setting, at_fastener, hold, window_on_tool

Direction = Literal["clockwise", "counterclockwise"]
OPEN: Ends = (None, None)


class Aim(Struct, frozen=True, kw_only=True):
    """A pull with one tool. `target`, `allowed` and `window` are at the fastener in `unit`, prevailing torque added.

    `allowed` is what the procedure allows, `window` what judges: the same, or narrowed by the guard. `on_tool` is that
    window on the tool's own scale, rounded inwards. `mark` is the scale line to set or to stop at, and `applied` what
    the fastener gets there; both are None where nothing is aimed at. `direction` is that of the pull, seen from the
    tool. `despite` are the reasons against the tool here that somebody answered with one of their own.
    """

    unit: str
    target: Decimal | None
    allowed: Ends
    window: Ends
    tool: Tool
    adapter: Adapter | None
    through: Reach
    on_tool: Ends
    mark: Decimal | None
    applied: Decimal | None
    direction: Direction
    despite: tuple[str, ...] = ()

    @property
    def guarded(self) -> bool:
        """True where the window was narrowed by the uncertainty of the tool."""
        return self.window != self.allowed

    @property
    def reading(self) -> bool:
        """True where the tool shows a number, or nobody knows which tool it was; else it gives at its setting."""
        return self.tool.kind in ("indicating", "not listed")

    @property
    def set_to(self) -> Setting | None:
        """Setting of a setting tool."""
        return None if self.mark is None or self.reading else Setting(self.mark, self.tool.unit)

    @property
    def stop_at(self) -> Decimal | None:
        """The value to stop at with a tool that shows a number."""
        return self.mark if self.reading else None

    @property
    def left_hand(self) -> bool:
        """True where it is pulled the other way round than most are."""
        return self.direction == "counterclockwise"

    @property
    def hand(self) -> str:
        """Tool in the hand, by name: "W2", or "W7+A1", at its angle where it has one."""
        return named(self.tool, self.adapter)

    @property
    def adapter_id(self) -> str | None:
        """The id of what stands between tool and fastener."""
        return None if self.adapter is None else self.adapter.id

    def off_scale(self, shown: Decimal) -> bool:
        """True where the tool cannot show this: beyond its scale, below where that starts, or less than its finest."""
        least = max(self.tool.minimum or Decimal(0), self.tool.resolution or Decimal(0))
        return shown < least or (self.tool.maximum is not None and shown > self.tool.maximum)

    def there(self, shown: Decimal, unit: str | None = None) -> Decimal:
        """Torque at the fastener while the tool shows this, in the unit of `window`."""
        tool = self.tool if unit is None or unit == self.tool.unit else None
        if tool is not None:
            return at_fastener(shown, tool, self.through, self.unit)
        from clampbook.conversion import convert

        return self.through.at_fastener(convert(shown, str(unit), self.unit))

    def as_finely(self, shown: Decimal) -> Ends | None:
        """The window on the tool with as many digits as this number, where it lies between the last line that is shown
        to be within and the limit itself; None where what is shown says of it what its verdict is."""
        if judge(shown, self.on_tool) == self.verdict(shown):
            return None
        digits = Decimal(1).scaleb(int(shown.as_tuple().exponent))
        return window_on_tool(self.window, self.unit, self.tool, self.through, digits)

    def verdict(self, shown: Decimal, unit: str | None = None) -> Verdict:
        """Verdict on a number that the tool shows."""
        return judge(self.there(shown, unit), self.window)


class Unusable(Struct, frozen=True):
    """The tool cannot be used for this pull, with the reason as a sentence."""

    sentence: str


def aim_at(wanted: Demand, tool: Tool, adapter: Adapter | None = None) -> Aim | Unusable:
    """Aim of a pull with this tool, through this adapter; `wanted` has a torque, and its unit.

    Unusable where the tool is of the wrong kind or turns the wrong way, where its uncertainty uses up the
    window, and where no line of its scale lies within.
    """
    cannot, through = wrong_kind(tool, wanted) or not_on_it(tool, wanted, adapter), reach(tool, adapter)
    if cannot is not None:
        return Unusable(cannot)
    if isinstance(through, NoReach):
        return Unusable(through.sentence)
    assert wanted.unit is not None
    window = accepted(wanted.accept, tool, wanted.target, wanted.window, wanted.unit, through)
    if window is None:
        return Unusable(f"{tool.name}: its uncertainty uses up the window")
    point, aims = wanted.point, wanted.target is not None and wanted.stops
    held = None if point is None else hold(point, window, wanted.unit, tool, through, adapter, aimed=aims)
    if isinstance(held, CannotHold):
        return Unusable(held.sentence)
    aimed = held if aims else None
    return Aim(
        unit=wanted.unit,
        target=wanted.target,
        allowed=wanted.window,
        window=window,
        tool=tool,
        adapter=adapter,
        through=through,
        on_tool=window_on_tool(window, wanted.unit, tool, through),
        mark=None if aimed is None else aimed.mark,
        applied=None if aimed is None else aimed.applied,
        direction=tightening(wanted.anticlockwise),
    )


def as_read(tool: Tool, through: Reach, window: Ends, unit: str) -> Aim:
    """Aim of a pull that was made, by what its tool can show and what judged it."""
    on_it = window_on_tool(window, unit, tool, through)
    return Aim(
        unit=unit,
        target=None,
        allowed=window,
        window=window,
        tool=tool,
        adapter=None,
        through=through,
        on_tool=on_it,
        mark=None,
        applied=None,
        direction="clockwise",
    )


def wrong_kind(tool: Tool, wanted: Demand) -> str | None:
    """Say why a tool of this kind cannot do it at all, whatever its scale; None where it can."""
    torque = tool.kind in WORKING
    if wanted.need == "measure":
        return cannot_measure(tool, wanted)
    if tool.kind == "reference":
        return f"{tool.name}: a reference, never used on a joint"
    if wanted.need == "angle":
        reads = tool.kind in ("angle gauge", "marks") or tool.reads_angle
        return None if reads else f"{tool.name}: shows no angle"
    if not torque:
        return f"{tool.name}: not a torque tool"
    if wanted.need == "reading" and tool.kind == "setting":
        return f"{tool.name}: shows no reading"
    way = "anticlockwise" if wanted.anticlockwise else "clockwise"
    if tool.directions not in ("both", way):
        hand = "left" if wanted.anticlockwise else "right"
        return f"{tool.name}: {way_word(tool.directions)} only, this thread is {hand}-hand"
    return None


def named(tool: Tool, adapter: Adapter | None) -> str:
    """Tool in the hand, by name: "W2", "W7+A1", or "W7+A2 at 45°" where the adapter stands at an angle to the lever."""
    if adapter is None:
        return tool.name
    angle = f" at {show_exactly(adapter.offset, '°')}" if adapter.offset else ""
    return f"{tool.name}+{adapter.name}{angle}"


def not_on_it(tool: Tool, wanted: Demand, adapter: Adapter | None) -> str | None:
    """Say that the adapter that is asked for does not stand on the tool; None where it does, or none is."""
    if wanted.adapter is None or (adapter is not None and serves(adapter, wanted.adapter)):
        return None
    return f"{tool.name}: no {wanted.adapter} on it"


def loosening(left_hand: bool) -> Direction:
    """Give the way in which a fastener is loosened, seen from the tool."""
    return "clockwise" if left_hand else "counterclockwise"


def tightening(left_hand: bool) -> Direction:
    """Give the way in which it is tightened, seen from the tool."""
    return "counterclockwise" if left_hand else "clockwise"
