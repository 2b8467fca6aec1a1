"""Clamp loads for reading: few digits, in kN, and always as what they are, an estimate with its band."""

from __future__ import annotations

import math
from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_UP, Decimal

FEW, SOME = 2, 3  # significant digits: at the bench, and where somebody sits and reads


def kilonewtons(low: float, likely: float, high: float, digits: int = FEW) -> tuple[str, str, str]:
    """Loads in N as kN with so many digits of the likely one, ones at the coarsest; the ends are rounded outwards."""
    place = _place(likely or high, digits)
    return (
        _rounded(low, place, ROUND_FLOOR),
        _rounded(likely, place, ROUND_HALF_UP),
        _rounded(high, place, ROUND_CEILING),
    )


def one(load: float, digits: int = SOME) -> str:
    """One load in kN, from N."""
    return _rounded(load, _place(load, digits), ROUND_HALF_UP)


def clamp_line(low: float, likely: float, high: float) -> str:
    """ "clamp load about 18 kN (15 – 22), an estimate"; loads in N."""
    ends = kilonewtons(low, likely, high)
    return f"clamp load about {ends[1]} kN ({ends[0]} – {ends[2]}), an estimate"


def _place(load: float, digits: int) -> int:
    """How many decimal places a load in N gets in kN."""
    return 0 if load <= 0 else max(0, digits - 1 - math.floor(math.log10(load / 1000) + 1e-9))


def _rounded(load: float, places: int, way: str) -> str:
    # A hair is taken off first: 15.000000000000002 is 15, whichever way is rounded.
    exact = Decimal(repr(round(load / 1000, 9)))
    return format(exact.quantize(Decimal(1).scaleb(-places), rounding=way), "f")
