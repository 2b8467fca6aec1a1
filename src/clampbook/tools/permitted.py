"""How far a tool is off beside how far it may be, rounded so that the one is never mistaken for the other."""

from __future__ import annotations

from decimal import ROUND_DOWN, ROUND_HALF_UP, ROUND_UP, Decimal

HUNDREDTH = Decimal("0.01")


def beyond(deviation: Decimal, permissible: Decimal) -> bool:
    """Whether one reading, as it stands, is farther off than is permitted; both in percent."""
    return abs(deviation) > permissible


def beside_limit(off: Decimal, permissible: Decimal, place: Decimal = HUNDREDTH) -> Decimal:
    """A deviation rounded to `place`, but never across what is permitted: what is beyond it reads beyond it."""
    near = off.quantize(place, ROUND_HALF_UP)
    if beyond(near, permissible) == beyond(off, permissible):
        return near
    return off.quantize(place, ROUND_UP if beyond(off, permissible) else ROUND_DOWN)


def signed(off: Decimal, permissible: Decimal | None) -> str:
    """The same as it is told, always with its sign: "+6.10 %"."""
    return f"{in_short(off, permissible):+f} %".replace("-", "−")


def in_short(off: Decimal, permissible: Decimal | None) -> Decimal:
    """A deviation in hundredths, beside what is permitted where that is known."""
    return off.quantize(HUNDREDTH, ROUND_HALF_UP) if permissible is None else beside_limit(off, permissible)
