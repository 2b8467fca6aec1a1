"""Shares in words, as the deviations of a tool are told: rounded only here."""

from __future__ import annotations

from decimal import Decimal

from clampbook.tools.permitted import in_short
from clampbook.units import plain

_NONE = Decimal(0)


def percent(value: Decimal, permissible: Decimal | None = None, *, sign: bool = True) -> str:
    """A share for reading: two places, with its sign, such as "+1.52 %"; more where it would else be rounded across
    what is allowed."""
    short = in_short(value, permissible)
    lead = "−" if short < 0 else "+" if sign and short > 0 else ""
    return f"{lead}{plain(abs(short))} %"


def interval(low: Decimal, high: Decimal) -> str:
    """Both ends for reading, "0.40 to 2.00 %"; neither is rounded to nought or across it."""
    return f"{percent(low, _NONE, sign=False).removesuffix(' %')} to {percent(high, _NONE, sign=False)}"


def allowed(permissible: Decimal) -> str:
    """The limit either way: "±4 %"."""
    return f"±{plain(permissible)} %"
