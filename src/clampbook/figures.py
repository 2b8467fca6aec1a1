"""Quantities written out: with sensible digits, never an exponent, and windows rounded inwards."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date
from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_EVEN, ROUND_HALF_UP, Context, Decimal
from typing import Literal

from clampbook.conversion import convert
from clampbook.unit_names import is_known, kind_of
from clampbook.unit_table import TABLE, Kind, behind

Ends = tuple[Decimal | None, Decimal | None]
Verdict = Literal["under", "within", "over"]

_WORK = Context(prec=120, rounding=ROUND_HALF_EVEN)
# Up to so many digits a number was typed by a person and is shown as typed; beyond, it comes out of a conversion.
_TYPED_DIGITS = 5
_SIGNIFICANT = 3
# An end of a window judges, so it stands with all its digits, unless a conversion made more than anybody reads.
_ENDLESS = 9
# Three significant digits are too coarse for a length of 91.25 mm; elsewhere ones are the coarsest shown.
_COARSEST = {"mm": -2, "in": -3, "cm": -3, "ft": -3, "m": -3}
_DAYS_FROM = Decimal(2 * 86400)
SECONDS_IN = {unit: Decimal(int(TABLE[unit].size)) for unit in ("d", "h", "min", "s")}
_FINER_AT_MOST = 40
_ONE_END = _AT_LEAST, _AT_MOST, _EXACTLY = "at least ", "at most ", "exactly "
_MONTHS = (
    "January", "February", "March", "April", "May", "June",
    "July", "August", "September", "October", "November", "December",
)  # fmt: skip


def plain(value: Decimal) -> str:
    """Fixed point with the digits the value has, no exponent, never "-0"."""
    return format(value if value else value.copy_abs(), "f")


def show(value: Decimal, unit: str, *, resolution: Decimal | None = None) -> str:
    """The quantity for reading, such as "22.1 lbf·ft" or "90°".

    Rounded half up to a multiple of `resolution`; without one a typed number stays as it is, and a longer one gets
    three significant digits, ones at the coarsest.
    """
    if resolution:
        return _joined(_nearest(value, resolution), unit)
    return _joined(_sensible(value, unit), unit)


def show_exactly(value: Decimal, unit: str) -> str:
    """The quantity for reading with every digit it has: what was typed, and the line of a scale."""
    return _joined(value, unit)


def side_by_side(value: Decimal, unit: str, others: Sequence[str] | None = None) -> str:
    """The quantity and in brackets what it is in `others`, such as "30.0 N·m (22.1 lbf·ft)".

    By default a torque is followed by lbf·ft, or by N·m where it is not in N·m; other kinds stand alone.
    """
    if others is None:
        others = torque_units(unit)[1:]
    first = _joined(_padded(_sensible(value, unit), unit), unit)
    rest = [_joined(_padded(_sensible(convert(value, unit, other), other), other), other) for other in others]
    return f"{first} ({', '.join(rest)})" if rest else first


def torque_units(unit: str) -> tuple[str, ...]:
    """The units in which a quantity is told: a torque in lbf·ft too, or in N·m where it is not in N·m."""
    if not _is_torque(unit):
        return (unit,)
    return (unit, "lbf·ft") if unit == "N·m" else (unit, "N·m")


def inwards(low: Decimal | None, high: Decimal | None, frm: str, to: str, resolution: Decimal | None = None) -> Ends:
    """The window in another unit, each end rounded inwards to a multiple of `resolution`.

    A multiple of it lies in the result where, converted back, it lies in the window, and only there. Where rounding
    would leave nothing, it is done ten times finer, as often as needed; an end that is None stays open.
    """
    there = (low, high)
    here = (None if low is None else convert(low, frm, to), None if high is None else convert(high, frm, to))
    return narrowed(there, here, lambda value: convert(value, to, frm), resolution or _step(*here, to))


def narrowed(window: Ends, here: Ends, there: Callable[[Decimal], Decimal], step: Decimal) -> Ends:
    """A window on another scale, rounded inwards to multiples of `step`: `here` is what it comes to on that scale, and
    `there` takes a value of that scale to the window.

    What counts is the way back, because what it comes to may have been rounded in its 28th digit. Where rounding would
    leave nothing, it is done ten times finer, as often as needed; an end that is None stays open.
    """
    low, high = window
    for _ in range(_FINER_AT_MOST):
        floor, ceiling = _rounded_in(here[0], here[1], step)
        if floor is not None and low is not None:
            floor = _innermost(floor, step, lambda value: there(value) >= low)
        if ceiling is not None and high is not None:
            ceiling = _innermost(ceiling, -step, lambda value: there(value) <= high)
        if floor is None or ceiling is None or floor <= ceiling:
            return floor, ceiling
        step = _WORK.divide(step, Decimal(10))
    return here


def _innermost(end: Decimal, inwards: Decimal, holds: Callable[[Decimal], bool]) -> Decimal:
    """The end itself, or its neighbour: the outermost that still holds."""
    if not holds(end):
        return _WORK.add(end, inwards)
    outer = _WORK.subtract(end, inwards)
    return outer if holds(outer) else end


def step_of(low: Decimal | None, high: Decimal | None, unit: str, finest: Decimal | None = None) -> Decimal:
    """The step that a window is rounded to for reading; every multiple of `finest` is one of its multiples too."""
    step = _step(low, high, unit)
    return step if not finest else min(step, Decimal(1).scaleb(_exponent(finest.normalize())))


def show_window(low: Decimal | None, high: Decimal | None, unit: str, *, exact: bool = False) -> str:
    """The window in a sentence: "28.0 to 32.0 N·m", "at least 122 N·m", "at most 3°", "90 to 94°".

    Ends as typed stand as they are, and all with `exact`; longer ones are rounded inwards, never to nothing.
    """
    return _between(low, high, unit, " to ", exact=exact)


def show_span(low: Decimal | None, high: Decimal | None, unit: str, *, exact: bool = False) -> str:
    """The same in a table, a list or on a label: "28.0–32.0 N·m"; an end below zero keeps the word, as two dashes
    side by side cannot be read."""
    below = any(end is not None and end < 0 for end in (low, high))
    return _between(low, high, unit, " to " if below else "–", exact=exact)


def in_two_units(window: str, other: str) -> str:
    """A window as it is shown in two units, its word said once: "at most 62.6 lbf·ft (85.0 N·m)"."""
    word = next((word for word in _ONE_END if window.startswith(word) and other.startswith(word)), "")
    return f"{window} ({other.removeprefix(word)})"


def _between(low: Decimal | None, high: Decimal | None, unit: str, word: str, *, exact: bool) -> str:
    if not exact and any(end is not None and _is_long(end) for end in (low, high)):
        low, high = inwards(low, high, unit, unit)
    given = [end for end in (low, high) if end is not None]
    if not given:
        return "no limit"
    exponent = min(_exponent(_padded(max(given, key=abs), unit)), *map(_exponent, given))
    last = _joined(filled(given[-1], exponent), unit)
    if low is None or high is None:
        return f"{_AT_MOST}{last}" if low is None else f"{_AT_LEAST}{last}"
    return f"{_EXACTLY}{last}" if low == high else f"{_signed(filled(low, exponent))}{word}{last}"


def is_readable(low: Decimal | None, high: Decimal | None) -> bool:
    """True where a window can stand with all its digits; else a conversion made more than anybody reads."""
    return not any(end is not None and _is_endless(end) for end in (low, high))


def show_judging(low: Decimal | None, high: Decimal | None, unit: str) -> str:
    """A window that judges what is read beside it, for reading: with all its digits, so that it says what it does;
    rounded inwards only where a conversion made more than anybody reads."""
    return show_window(low, high, unit, exact=is_readable(low, high))


def judge(value: Decimal, window: Ends) -> Verdict:
    """Judge an exact value against an exact window; both ends belong to it, an open end (None) is never passed."""
    low, high = window
    if low is not None and value < low:
        return "under"
    if high is not None and value > high:
        return "over"
    return "within"


def beside(value: Decimal, window: Ends, unit: str, *, typed: bool = False) -> tuple[str, str]:
    """A value and the window that judges it, for reading side by side: whoever compares what is shown comes to the
    verdict of the exact ones.

    A `typed` value stands as typed. Any other begins with three digits, the window with those that it has alone, and
    both get more until they agree.
    """
    wanted = judge(value, window)
    endless = not is_readable(*window)
    step = _step(*window, unit)
    for finer in range(_FINER_AT_MOST):
        exponent = _wanted_exponent(value, unit) - finer
        shown = value if typed else digits_beside(value, window, exponent, ROUND_HALF_UP)
        ends = narrowed(window, window, lambda each: each, _WORK.scaleb(step, -finer)) if endless else window
        if judge(shown, ends) == wanted:
            break
    else:
        shown, ends = value, window
    return _joined(shown if typed else _padded(shown, unit), unit), show_window(*ends, unit, exact=True)


def digits_beside(value: Decimal, window: Ends, exponent: int, rounding: str = ROUND_HALF_EVEN) -> Decimal:
    """A value rounded to this power of ten, and finer where rounding would take it across an end of the window."""
    wanted = judge(value, window)
    for finer in range(_ENDLESS):
        shown = value.quantize(Decimal(1).scaleb(exponent - finer), rounding, context=_WORK)
        if judge(shown, window) == wanted:
            return shown
    step = Decimal(1).scaleb(exponent - _ENDLESS)  # it lies on an end that no number of digits writes out
    sides = (value.quantize(step, way, context=_WORK) for way in (ROUND_CEILING, ROUND_FLOOR))
    return next((shown for shown in sides if judge(shown, window) == wanted), value)


def show_duration(seconds: Decimal) -> str:
    """Seconds for reading, such as "1 h 30 min"; days are counted from the second one on."""
    rest, parts = abs(seconds), []
    for unit, size in SECONDS_IN.items():
        if unit != "s" and rest >= (_DAYS_FROM if unit == "d" else size):
            count, rest = _WORK.divmod(rest, size)
            parts.append(f"{plain(count)} {unit}")
    if rest or not parts:
        parts.append(f"{plain(rest)} s")
    return ("−" if seconds < 0 else "") + " ".join(parts)


def show_day(day: date | str) -> str:
    """A day in a sentence, "2 March 2026", also of ISO 8601; lists, tables and labels have it as that. A text that is
    no day, as a changed line may have, stays as it is."""
    try:
        on = date.fromisoformat(day[:10]) if isinstance(day, str) else day
    except ValueError:
        return str(day)
    return f"{on.day} {_MONTHS[on.month - 1]} {on.year}"


def _is_endless(value: Decimal) -> bool:
    return len(value.normalize().as_tuple().digits) > _ENDLESS


def _is_long(value: Decimal) -> bool:
    return bool(value) and len(value.as_tuple().digits) > _TYPED_DIGITS


def _exponent(value: Decimal) -> int:
    exponent = value.as_tuple().exponent
    return exponent if isinstance(exponent, int) else 0


def _wanted_exponent(value: Decimal, unit: str) -> int:
    """The place of the third significant digit, no coarser than suits the unit."""
    coarsest = _COARSEST.get(unit, 0)
    return min(value.adjusted() - _SIGNIFICANT + 1, coarsest) if value else coarsest


def _sensible(value: Decimal, unit: str) -> Decimal:
    """As typed, or rounded where it has more digits than anybody types."""
    if not _is_long(value):
        return value
    return _nearest(value, Decimal(1).scaleb(max(_wanted_exponent(value, unit), _exponent(value))))


def _is_torque(unit: str) -> bool:
    """True of a unit of torque; a number may have a unit that is not in the table, or none."""
    return is_known(unit) and kind_of(unit) == Kind.TORQUE


def _padded(value: Decimal, unit: str) -> Decimal:
    """A torque filled up to three digits, because a workshop reads 30.0 N·m beside 22.1 lbf·ft; others as they are."""
    if not _is_torque(unit) or not value:
        return value
    return filled(value, _wanted_exponent(value, unit))


def filled(value: Decimal, exponent: int) -> Decimal:
    """With noughts behind, down to the place of `exponent`; never rounded."""
    return value if _exponent(value) <= exponent else value.quantize(Decimal(1).scaleb(exponent), context=_WORK)


def _nearest(value: Decimal, step: Decimal) -> Decimal:
    count = _WORK.divide(value, step).quantize(Decimal(1), rounding=ROUND_HALF_UP, context=_WORK)
    return _WORK.multiply(count, step)


def _step(low: Decimal | None, high: Decimal | None, unit: str) -> Decimal:
    """A step for rounding a window: sensible for its larger end, and at most a tenth of its width."""
    given = [end for end in (low, high) if end is not None]
    exponent = min((_wanted_exponent(end, unit) for end in given if abs(end) == max(map(abs, given))), default=0)
    if low is not None and high is not None and high > low:
        exponent = min(exponent, _WORK.subtract(high, low).adjusted() - 1)
    return Decimal(1).scaleb(exponent)


def _rounded_in(low: Decimal | None, high: Decimal | None, step: Decimal) -> tuple[Decimal | None, Decimal | None]:
    return None if low is None else _multiple(low, step, up=True), None if high is None else _multiple(high, step)


def _multiple(value: Decimal, step: Decimal, *, up: bool = False) -> Decimal:
    """The multiple of `step` next to `value`, above it or below it; exact."""
    count, rest = _WORK.divmod(value, step)
    if up and rest > 0:
        count += 1
    elif not up and rest < 0:
        count -= 1
    return _WORK.multiply(count, step)


def _joined(value: Decimal, unit: str) -> str:
    return f"{_signed(value)}{behind(unit)}"


def _signed(value: Decimal) -> str:
    """With the sign a printed page has."""
    return plain(value).replace("-", "−")
