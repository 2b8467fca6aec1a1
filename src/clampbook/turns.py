"""Parts of a turn as manuals write them: 1/3 turn, 1 1/2 turns, ½ turn. No other unit takes a fraction.

Structural bolting says its turns so (RCSC 2014, Table 8.2: 1/3, 1/2 and 2/3 turn, from memory); that 1-1/2 is one and a
half is common practice, no source.
"""

from __future__ import annotations

import re
import unicodedata
from decimal import Decimal
from fractions import Fraction

WHOLE = 360
_MINUS = r"\-−–‐‑"
_ONE_SIGN = "½⅓⅔¼¾⅕⅖⅗⅘⅙⅚⅛⅜⅝⅞"
_WRITTEN = re.compile(
    rf"(?P<sign>[+{_MINUS}]?)\s*(?:(?P<whole>[0-9]{{1,3}})(?:\s+|[{_MINUS}]))?"
    r"(?P<above>[0-9]{1,3})\s*/\s*(?P<below>[0-9]{1,3})\s*(?P<unit>[^\W\d_]+\.?)",
    re.ASCII,
)
_MOST_DECIMALS = 6


def part_of(typed: str) -> tuple[Fraction, str] | None:
    """The fraction and the word behind it; None for what is not a fraction, or divides by zero."""
    found = _WRITTEN.fullmatch(_apart(typed).strip())
    if found is None or not int(found["below"]):
        return None
    size = int(found["whole"] or 0) + Fraction(int(found["above"]), int(found["below"]))
    return (size if found["sign"] in ("", "+") else -size), found["unit"]


def in_degrees(turns: Fraction) -> Decimal | None:
    """So many turns in degrees, exact; None where that has no end, as of 1/7 turn."""
    degrees = turns * WHOLE
    value = Decimal(degrees.numerator) / Decimal(degrees.denominator)
    rounded = round(value, _MOST_DECIMALS).normalize()
    return Decimal(format(rounded, "f")) if Fraction(rounded) == degrees else None


def _apart(typed: str) -> str:
    """The same with ½ as 1/2, apart from a number in front of it."""
    return "".join(f" {_plain(sign)}" if sign in _ONE_SIGN else sign for sign in typed)


def _plain(sign: str) -> str:
    return unicodedata.normalize("NFKC", sign).replace("\u2044", "/")
