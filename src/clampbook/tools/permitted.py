"""Deviation of a tool beside the permissible one, rounded so that the one is never mistaken for the other."""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Decimal

from clampbook.figures import digits_beside
from clampbook.tools.standard import STANDARD

WRITTEN = "tools.toml"  # where a permissible deviation stands that was typed
HUNDREDTH = Decimal("0.01")


def allowed_by(by: str | None, iso_type: str | None, iso_class: str | None) -> str | None:
    """Name what allows a tool its deviation: WRITTEN, or "ISO 6789-1:2017, type II, class A"; None if nothing does."""
    return f"{by}, type {iso_type}, class {iso_class}" if by == STANDARD and iso_type else by


def beyond(deviation: Decimal, permissible: Decimal) -> bool:
    """True where one reading, as it stands, is farther off than is allowed; both in percent."""
    return abs(deviation) > permissible


def beside_limit(off: Decimal, permissible: Decimal, place: Decimal = HUNDREDTH) -> Decimal:
    """A deviation rounded to `place`, with more digits where it would else be rounded across what is allowed."""
    exponent = int(place.normalize().as_tuple().exponent)
    return digits_beside(off, (-permissible, permissible), exponent, ROUND_HALF_UP)


def signed(off: Decimal, permissible: Decimal | None) -> str:
    """The same as it is told, always with its sign: "+6.10 %"."""
    return f"{in_short(off, permissible):+f} %".replace("-", "−")


def in_short(off: Decimal, permissible: Decimal | None) -> Decimal:
    """A deviation in hundredths, beside what is allowed where that is known."""
    return off.quantize(HUNDREDTH, ROUND_HALF_UP) if permissible is None else beside_limit(off, permissible)
