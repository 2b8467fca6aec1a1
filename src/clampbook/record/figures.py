"""The figures of a record: what was read as it is, what was worked out to so many significant digits."""

from __future__ import annotations

from decimal import ROUND_HALF_EVEN, Context, Decimal

DIGITS = 6  # significant digits of what is worked out, in the record
_EXACT = Context(prec=100, rounding=ROUND_HALF_EVEN)


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
