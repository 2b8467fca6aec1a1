"""Mean, standard deviation and range of readings, from exact decimals; only what is written is rounded."""

from __future__ import annotations

import statistics
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_EVEN, Context, Decimal, localcontext

DIGITS = 6  # significant digits of what is worked out, in the record
_EXACT = Context(prec=100, rounding=ROUND_HALF_EVEN)


@dataclass(frozen=True, slots=True)
class Figures:
    """Of at least one reading, all in one unit. `deviation` is that of a sample (n - 1), None for a single reading.

    `least`, `most` and `spread` (most - least) are exact, `mean` and `deviation` good to some 50 digits.
    """

    n: int
    mean: Decimal
    deviation: Decimal | None
    least: Decimal
    most: Decimal
    spread: Decimal


def figures(values: Sequence[Decimal]) -> Figures | None:
    """The figures of these readings; None where there is no reading."""
    if not values:
        return None
    with localcontext(_EXACT):  # whatever the caller's context, the figures are the same
        mean = statistics.mean(values)
        deviation = statistics.stdev(values) if len(values) > 1 else None
        least, most = min(values), max(values)
        return Figures(len(values), mean, deviation, least, most, most - least)


def rounded(value: Decimal, digits: int = DIGITS) -> str:
    """To so many significant digits, half to even, written without an exponent."""
    if value == 0:
        return "0"
    short = Context(prec=digits, rounding=ROUND_HALF_EVEN).plus(value)
    missing = digits - len(short.as_tuple().digits)
    if missing > 0:  # a mean of exactly 30 was worked out to as many digits as any other
        short = short.quantize(Decimal(1).scaleb(short.adjusted() - digits + 1), context=_EXACT)
    return format(short, "f")


def plain(value: Decimal) -> str:
    """An exact decimal as it is, without an exponent."""
    return format(value, "f")
