"""From one unit into another, exactly: the factors are fractions, and only the result is written with 28 digits."""

from __future__ import annotations

from decimal import ROUND_HALF_EVEN, Context, Decimal
from fractions import Fraction
from functools import cache
from math import lcm

from clampbook.unit_names import UnitFault, kind_of, with_article
from clampbook.unit_table import TABLE, Kind

_KEPT = Context(prec=28, rounding=ROUND_HALF_EVEN)
_EXACT = Context(prec=200, rounding=ROUND_HALF_EVEN)  # more than a typed number times a factor has
# What the mechanics reckon in, where that is not what the table's sizes are in.
_SI = {Kind.ANGLE: TABLE["rad"].size}


@cache
def factor(frm: str, to: str) -> Decimal:
    """Number of `to` that make one of `frm`, to 28 digits; for temperatures the size of the degree.

    Raises UnitFault for units of different kinds.
    """
    times, _, over = _way(frm, to)
    return _trimmed(_KEPT.divide(times, over))


def convert(value: Decimal, frm: str, to: str) -> Decimal:
    """The value in another unit of its kind, exact where 28 digits can hold it, else rounded once to 28 digits.

    Raises UnitFault for units of different kinds.
    """
    times, more, over = _way(frm, to)
    if frm == to:
        return value
    return _trimmed(_KEPT.divide(_EXACT.add(_EXACT.multiply(value, times), more), over))


def si(value: Decimal, unit: str) -> float:
    """The value as the mechanics take it: N·m, rad, m, N, s, K, Pa; a share as a plain number (30 % is 0.3)."""
    of = TABLE[unit]
    return float((Fraction(value) * of.size + of.zero) / _SI.get(of.kind, Fraction(1)))


@cache
def _way(frm: str, to: str) -> tuple[Decimal, Decimal, Decimal]:
    """Three whole numbers: a value of `frm` times the first, with the second, over the third, is one of `to`.

    Raises UnitFault for units of different kinds.
    """
    here, there = kind_of(frm), kind_of(to)
    if here != there:
        raise UnitFault(f"{with_article(here)} in {frm} cannot become {with_article(there)} in {to}", allowed=here)
    ratio = TABLE[frm].size / TABLE[to].size
    shift = (TABLE[frm].zero - TABLE[to].zero) / TABLE[to].size
    over = lcm(ratio.denominator, shift.denominator)
    return Decimal(int(ratio * over)), Decimal(int(shift * over)), Decimal(over)


def _trimmed(value: Decimal) -> Decimal:
    """Without the noughts that a division leaves behind the point."""
    short = value.normalize(_KEPT)
    whole = short.adjusted() < _EXACT.prec and short == short.to_integral_value()
    return short.quantize(Decimal(1), context=_EXACT) if whole else short
