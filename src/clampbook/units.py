"""Quantities as people write them: read with their unit, converted exactly, shown with sensible digits.

What was typed is kept as typed; only showing rounds, and a window is rounded inwards.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal

from clampbook.conversion import convert, factor, si
from clampbook.figures import (
    SECONDS_IN,
    inwards,
    plain,
    show,
    show_day,
    show_duration,
    show_span,
    show_window,
    side_by_side,
)
from clampbook.text import quoted
from clampbook.turns import WHOLE, in_degrees, part_of
from clampbook.unit_names import (
    EXAMPLE_OF,
    UnitFault,
    kind_of,
    unit_named,
    with_article,
    wrong_kind,
)
from clampbook.unit_table import COUNT, UNITS_OF, Kind, behind, spelled

__all__ = [
    "COUNT",
    "UNITS_OF",
    "Kind",
    "Quantity",
    "UnitFault",
    "behind",
    "convert",
    "duration",
    "factor",
    "inwards",
    "kind_of",
    "number",
    "parse",
    "plain",
    "show",
    "show_day",
    "show_duration",
    "show_span",
    "show_window",
    "si",
    "side_by_side",
    "spelled",
    "unit_named",
    "with_article",
    "wrong_kind",
]

MOST_DIGITS = 30


@dataclass(frozen=True, slots=True)
class Quantity:
    """A number with the canonical name of its unit, the number kept exactly as it was typed."""

    value: Decimal
    unit: str


_MINUS = "-−–‐‑"
_SIGN = r"[+\-−–‐‑]"
_NUMBER = re.compile(rf"({_SIGN}?)[ \u00a0]*([0-9]*)(?:([.,])([0-9]+))?", re.ASCII)
_SPLIT = re.compile(rf"((?:{_SIGN}|[0-9., \u00a0\u2009\u202f])*)(.*)", re.DOTALL)
_SECOND = re.compile(rf"{_SIGN}?[0-9.,]+\s*{_SIGN}\s*[0-9.,]+.*|.*(±|\s{_SIGN}?[0-9]).*", re.ASCII | re.DOTALL)
_GROUPED = re.compile(rf"{_SIGN}?[0-9]{{1,3}}([., '’\u00a0\u2009\u202f][0-9]{{3}})+(?![0-9])", re.ASCII)
# A comma before three digits is a decimal comma here: nobody writes thousands of these.
_SMALL_LENGTHS = frozenset({"mm", "cm", "m", "in"})


def number(text: str, *, decimal_comma: bool = False) -> Decimal:
    """The number that somebody typed, digit for digit: point or comma, a sign, nothing else.

    "1,250" can be read in two ways and is refused, unless `decimal_comma` says that it is no thousand.
    Raises UnitFault.
    """
    typed = text.strip()
    found = _NUMBER.fullmatch(typed) if len(typed) <= 2 * MOST_DIGITS else None
    if found is None or not (found[2] or found[4]):
        raise _no_number(typed)
    sign, whole, mark, fraction = found[1], found[2], found[3], found[4] or ""
    if len(whole) + len(fraction) > MOST_DIGITS:
        raise _too_many_digits(typed)
    if mark == "," and len(fraction) == 3 and re.fullmatch("[1-9][0-9]{0,2}", whole) and not decimal_comma:
        raise UnitFault(
            f"{quoted(typed)} can be read as {whole}.{fraction} or as {whole}{fraction}. "
            "Write a decimal point, or the thousands without a comma",
            allowed="a number without commas between thousands",
        )
    value = Decimal(f"{whole or '0'}.{fraction}" if fraction else whole)
    return value.copy_negate() if sign and sign in _MINUS and value else value


def parse(text: str, kind: Kind | None = None, *, unit: str | None = None) -> Quantity:
    """A number and then its unit, such as "30 N·m", "22,1 ft-lb" or "90°".

    `unit` (canonical) is taken where only a number was typed; without it a bare number is refused.
    `kind` refuses quantities of another kind. Raises UnitFault.
    """
    turned = _turned(text.strip())
    if turned is not None:
        if kind not in (None, Kind.ANGLE):
            raise wrong_kind(Kind.ANGLE, kind, text.strip())
        return turned
    figures, rest = _split(text.strip())
    if not rest and unit is None:
        number(figures)
        raise UnitFault(
            f"{quoted(figures)} needs its unit, such as {re.sub('^[0-9.]+', figures, EXAMPLE_OF[kind])}",
            allowed=", ".join(UNITS_OF[kind]) if kind else "a number with its unit",
        )
    if rest and _SECOND.fullmatch(rest):
        raise _more_than_one(text.strip())
    named = unit_named(rest, whole=text.strip(), kind=kind) if rest else str(unit)
    if kind is not None and kind_of(named) != kind:
        raise wrong_kind(kind_of(named), kind, text.strip())
    return Quantity(number(figures, decimal_comma=named in _SMALL_LENGTHS), named)


def duration(text: str) -> Decimal:
    """Seconds from "10 min", "1 h 30 min", "1.5 h" or "2 s", the larger units first. Raises UnitFault."""
    total, last, rest = Decimal(0), None, text.strip()
    while rest or last is None:
        found = re.match(r"([^A-Za-z]*[A-Za-z]+\.?)\s*(.*)", rest, re.DOTALL)
        part, rest = (found[1], found[2]) if found else (rest, "")
        read = parse(part, Kind.TIME)
        size = SECONDS_IN[read.unit]
        if read.value < 0:
            raise UnitFault(f"{quoted(text)} is negative. Write 0 s or more", allowed="0 s or more")
        if last is not None and size >= last:
            raise UnitFault(f"{quoted(text)} has its units out of order. Write it like 1 h 30 min")
        total, last = total + read.value * size, size
    return total


def _turned(typed: str) -> Quantity | None:
    """A part of a turn in degrees; None for anything else. Raises UnitFault where it has no end in degrees."""
    part = part_of(typed)
    if part is None or not _is_turn(part[1]):
        return None
    degrees = in_degrees(part[0])
    if degrees is None:
        near = round(float(part[0] * WHOLE))
        raise UnitFault(f"{quoted(typed)} is not a round figure in degrees. Write it in degrees, like {near}°")
    return Quantity(degrees, "°")


def _is_turn(name: str) -> bool:
    try:
        return unit_named(name) == "turn"
    except UnitFault:
        return False


def _split(typed: str) -> tuple[str, str]:
    """Figures and unit; what begins like a number in a way that is not taken is refused here, by name."""
    found = _SPLIT.fullmatch(typed)
    figures, rest = (found[1].strip(), found[2]) if found else (typed, "")
    if rest.startswith("/") or rest[:1] in tuple("½¼¾⅓⅔⅛⅜⅝⅞"):
        raise UnitFault(
            f"{quoted(typed)} has a fraction. Only turns take one, like 1/2 turn. Write a decimal, like 0.5"
        )
    if rest and not figures:
        raise UnitFault(
            f"{quoted(typed)} does not begin with a number. Write a number and its unit",
            allowed="a number and then its unit",
        )
    if re.match(r"['’][0-9]|[eE][+-]?[0-9]", rest):
        raise _no_number(typed)
    return figures, rest


def _no_number(typed: str) -> UnitFault:
    """The fault of something that is no number, in the words of the slip."""
    allowed = "digits with a decimal point or comma"
    if not typed:
        return UnitFault("a number is missing", allowed=allowed)
    if _GROUPED.match(typed):
        return UnitFault(f"{quoted(typed)} has its thousands set apart. Write them together", allowed=allowed)
    if re.fullmatch(rf"{_SIGN}?[0-9]+[.,]", typed):
        return UnitFault(f"{quoted(typed)} ends in a point or comma. Add the digits after it, or remove it")
    if re.match(rf"{_SIGN}?[0-9]+([.,][0-9]+)?[eE]", typed):
        return UnitFault(f"{quoted(typed)} has an exponent. Write the number out", allowed=allowed)
    if len(typed) > 2 * MOST_DIGITS:
        return _too_many_digits(typed)
    if _SECOND.fullmatch(typed):
        return _more_than_one(typed)
    return UnitFault(f"{quoted(typed)} is not a number", allowed=allowed)


def _more_than_one(typed: str) -> UnitFault:
    return UnitFault(f"{quoted(typed)} has more than one number. Write one alone", allowed="one number and its unit")


def _too_many_digits(typed: str) -> UnitFault:
    return UnitFault(
        f"{quoted(typed)} is too long for a number. Use {MOST_DIGITS} digits at most",
        allowed=f"at most {MOST_DIGITS} digits",
    )
