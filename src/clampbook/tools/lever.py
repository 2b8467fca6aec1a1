"""Torque through an adapter: the tool shows what its own lever makes, the fastener feels the changed one.

set = target × L / (L + E·cos θ), and at the fastener = reading × (L + E·cos θ) / L. Source: US Army TM 1-1500-204-23-9
and FAA AC 43.13-1B par. 7-40 for adapters in line and at an angle (worked examples in tests/reference).
"""

from __future__ import annotations

from decimal import ROUND_HALF_EVEN, Context, Decimal
from functools import lru_cache

from msgspec import Struct

from clampbook.tools.model import Adapter, Tool
from clampbook.units import Quantity, convert, show

MOST_RATIO = 1000  # of a torque multiplier, torque out over torque in
_WORK = Context(prec=60, rounding=ROUND_HALF_EVEN)
_KEPT = Context(prec=28, rounding=ROUND_HALF_EVEN)
_PI = Decimal("3.14159265358979323846264338327950288419716939937510582097494459")
_EXACT = {0: Decimal(1), 60: Decimal("0.5"), 90: Decimal(0), 120: Decimal("-0.5"), 180: Decimal(-1)}


class Reach(Struct, frozen=True):
    """A lever and what it becomes with an adapter, both in mm; without one both are 1. Through a multiplier the one is
    1, the other its ratio, and `unsure` the relative standard uncertainty of that, in percent; it gives and takes no
    more than `gives` and `takes`, where that is known."""

    length: Decimal = Decimal(1)
    effective: Decimal = Decimal(1)
    unsure: Decimal = Decimal(0)
    gives: Quantity | None = None
    takes: Quantity | None = None

    def on_tool(self, torque: Decimal) -> Decimal:
        """Torque that the tool shows while the fastener gets this one."""
        return _ratio(torque, self.length, self.effective)

    def at_fastener(self, shown: Decimal) -> Decimal:
        """Torque at the fastener while the tool shows this one."""
        return _ratio(shown, self.effective, self.length)

    def greatest(self, unit: str) -> tuple[Decimal, str] | None:
        """The greatest torque that a tool with this unit may show, and what bears no more, as a clause behind its name;
        None where nothing is known to end before the tool does."""
        most = []
        if self.gives is not None:
            told = f"gives at most {show(self.gives.value, self.gives.unit)}"
            most.append((self.on_tool(convert(self.gives.value, self.gives.unit, unit)), told))
        if self.takes is not None:
            told = f"takes at most {show(self.takes.value, self.takes.unit)}"
            most.append((convert(self.takes.value, self.takes.unit, unit), told))
        return min(most, key=lambda each: each[0], default=None)


class NoReach(Struct, frozen=True):
    """The adapter cannot be worked out, with the reason as a clause behind the tool's name."""

    sentence: str


STRAIGHT = Reach()


def reach(tool: Tool, adapter: Adapter | None) -> Reach | NoReach:
    """Reach of this tool to a fastener through this adapter, or this multiplier."""
    if adapter is None:
        return STRAIGHT
    if (ratio := adapter.multiplies_by) is not None:
        return Reach(Decimal(1), ratio, adapter.known_to / 2, adapter.gives_at_most, adapter.takes_at_most)
    if adapter.extension is None or adapter.offset is None:
        return NoReach(f"{tool.name}: what {adapter.name} adds to its lever is not known")
    if adapter.extension.value == 0 or cosine(adapter.offset) == 0:
        return STRAIGHT
    if tool.lever is None:
        return no_lever(tool, adapter)
    found = reach_of(tool.lever, adapter.extension, adapter.offset)
    if found is None:
        length = show(tool.lever.value, tool.lever.unit)
        return NoReach(f"{tool.name}: {adapter.name} leaves nothing of its lever, {length}")
    return found


def no_lever(tool: Tool, adapter: Adapter) -> NoReach:
    """The tool's entry says no lever."""
    return NoReach(f"{tool.name}: no lever in tools.toml, so the effect of {adapter.name} is not known")


def reach_of(lever: Quantity, extension: Quantity, offset: Decimal) -> Reach | None:
    """A lever with an extension (below zero: shorter) at `offset` degrees; None where nothing is left of it."""
    length = convert(lever.value, lever.unit, "mm")
    along = _WORK.multiply(convert(extension.value, extension.unit, "mm"), cosine(offset))
    effective = _WORK.add(length, along)
    return Reach(length, effective) if length > 0 and effective > 0 else None


def turned_back(adapter: Adapter) -> Quantity | None:
    """Change of the lever by an adapter beyond 90°, below zero where it shortens it; None for any other, whose length
    says which of both it does."""
    length, angle = adapter.extension, adapter.offset
    if length is None or angle is None or cosine(angle) >= 0:
        return None
    return Quantity(_WORK.multiply(length.value, cosine(angle)), length.unit)


@lru_cache(maxsize=256)
def cosine(degrees: Decimal) -> Decimal:
    """The cosine of an angle in degrees to 40 digits, exact where it is a half, one or nought."""
    turned = abs(degrees) % 360
    folded = min(turned, 360 - turned)
    if folded in _EXACT:
        return _EXACT[int(folded)]
    square = _WORK.power(_WORK.divide(_WORK.multiply(folded, _PI), Decimal(180)), 2)
    total, term = Decimal(1), Decimal(1)
    for n in range(1, 60):
        term = _WORK.divide(_WORK.multiply(term, -square), Decimal((2 * n - 1) * 2 * n))
        total = _WORK.add(total, term)
    return total.quantize(Decimal(1).scaleb(-40), context=_WORK)


def _ratio(value: Decimal, above: Decimal, below: Decimal) -> Decimal:
    if above == below:
        return value
    return _WORK.divide(_WORK.multiply(value, above), below).normalize(_KEPT)
