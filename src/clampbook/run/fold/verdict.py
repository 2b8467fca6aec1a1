"""Judging a value: under, within or over its window; and whether it looks like a slip of the hand."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from functools import cache

from msgspec import Struct

from clampbook.figures import Ends as Ends
from clampbook.figures import Verdict as Verdict
from clampbook.figures import judge as judge
from clampbook.tools.lever import STRAIGHT, Reach
from clampbook.units import Kind, factor

WELL_OFF = Decimal("0.2")  # a value nearer to its target than this share is never called a slip
NEAR = Decimal("0.15")  # how near to the target the mended value must come
_DECIMAL_PLACE = Decimal(10)
# Units that are taken for one another (common practice, no source); the factors are exact.
_TAKEN_FOR_ANOTHER: Mapping[Kind, tuple[tuple[str, str], ...]] = {
    Kind.TORQUE: (("lbf·ft", "N·m"), ("lbf·ft", "lbf·in"), ("N·m", "lbf·in")),
    Kind.PRESSURE: (("bar", "psi"), ("MPa", "psi"), ("psi", "kPa"), ("bar", "kPa")),
}


class Judged(Struct, frozen=True, kw_only=True):
    """The measure of a line that was judged: its window, and what was held against it (`shown`), both in `unit`.

    `typed` and `typed_unit` are what the person saw, on a tool that reaches the fastener by `reach`.
    """

    window: Ends
    unit: str
    shown: Decimal
    typed: Decimal | None = None
    typed_unit: str | None = None
    reach: Reach = STRAIGHT


def middle(target: Decimal | None, window: Ends) -> Decimal | None:
    """Give what a value should be near: its target, else the middle of its window, else the one end there is."""
    if target is not None:
        return target
    low, high = window
    if low is not None and high is not None:
        return (low + high) / 2
    return low if low is not None else high


@cache
def _slips(kind: Kind) -> tuple[Decimal, ...]:
    """By how much a value is off that was typed in another unit, or with its decimal point elsewhere: a count has
    neither."""
    if kind is Kind.COUNT:
        return ()
    return (*(factor(one, other) for one, other in _TAKEN_FOR_ANOTHER.get(kind, ())), _DECIMAL_PLACE)


def slip(value: Decimal, typed: Decimal, target: Decimal | None, window: Ends, kind: Kind) -> str | None:
    """A code where a value outside its window would be near its target in another unit, with the decimal point
    elsewhere, or with its first two digits swapped, whichever comes nearest; None where none does. Common practice,
    no source: a value within 20 % of its target is taken as it is, a mended one must come within 15 %.
    """
    aim = middle(target, window)
    if aim is None or aim <= 0 or value <= 0 or judge(value, window) == "within":
        return None
    if abs(value / aim - 1) <= WELL_OFF:
        return None
    mended: list[tuple[Decimal, str]] = []
    for times in _slips(kind):
        code = "decimal place" if times == _DECIMAL_PLACE else "unit"
        mended += [(value * times, code), (value / times, code)]
    swapped = first_two_swapped(typed)
    if swapped is not None and typed:
        mended.append((value / typed * swapped, "digits swapped"))
    off, code = min(((abs(each / aim - 1), code) for each, code in mended), default=(NEAR + 1, ""))
    return code if off <= NEAR else None


def first_two_swapped(value: Decimal) -> Decimal | None:
    """The value with its first two digits exchanged, noughts in front not counted: 31.5 gives 13.5, 0.15 gives 0.51;
    None where that changes nothing."""
    text = format(value, "f")
    first = next((place for place, sign in enumerate(text) if sign in "123456789"), len(text))
    places = [place for place, sign in enumerate(text) if place >= first and sign.isdigit()][:2]
    if len(places) < 2 or text[places[0]] == text[places[1]]:
        return None
    signs = list(text)
    signs[places[0]], signs[places[1]] = signs[places[1]], signs[places[0]]
    return Decimal("".join(signs))
