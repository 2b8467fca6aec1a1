"""The window of a value as it is written: deviations such as "+4° −0°" or "±5 %", ends such as ["28 N·m", "32 N·m"]."""

from __future__ import annotations

import re
from collections.abc import Sequence
from decimal import Decimal

from clampbook.procedure.amounts import EXACT, Reading, above_zero, quantity, share
from clampbook.procedure.codes import Code
from clampbook.procedure.model import Window
from clampbook.procedure.slips import KeyPath
from clampbook.procedure.washing import UNREAD
from clampbook.text import quoted
from clampbook.units import Kind, Quantity, UnitFault, behind, convert, number, plain, show

_MINUS = r"\-−–‐‑"
_SAME_BOTH_WAYS = re.compile(rf"(?:±|\+\s*/\s*[{_MINUS}]|\+\s*[{_MINUS}])\s*(?P<size>[\d.,].*)", re.DOTALL)
_TWO_WAYS = re.compile(
    rf"(?P<first>[+{_MINUS}])\s*(?P<one>[\d.,].*?)[\s/;]*(?P<second>[+{_MINUS}])\s*(?P<other>[\d.,].*)", re.DOTALL
)
_WRITE = 'write it like "±2 N·m", "+0 −3 N·m" or "±5 %"'
_EXAMPLES = {Kind.TORQUE: "±2 N·m, +0 −3 N·m, ±5 %", Kind.ANGLE: "+4° −0°, ±3°, ±5 %"}


def pull_window(
    reading: Reading,
    at: KeyPath,
    *,
    target: Decimal | None,
    within: str | None,
    between: Sequence[str] | None,
    kind: Kind,
    needed: bool,
) -> Window | None:
    """The window of a stage with a target, in the sheet's torque unit or in degrees; `at` is the stage's table.

    None where there is none, or where a slip was found. A window that is `needed` and missing is a slip.
    """
    unit = reading.unit if kind == Kind.TORQUE else "°"
    if within is not None and between is not None:
        both(reading, (*at, "between"), "within", "between")
        return None
    if between is not None:
        return _holding(reading, (*at, "between"), ends(reading, (*at, "between"), between, kind, unit), target)
    if within is not None:
        window = _around(reading, (*at, "within"), within, target, kind, unit)
        return _holding(reading, (*at, "within"), window, target)
    if needed:
        example = 'within = "+4° −0°"' if kind == Kind.ANGLE else 'within = "±2 N·m"'
        reading.slips.add(
            Code.NO_WINDOW,
            at,
            "nothing says which values are allowed",
            found="neither within nor between",
            allowed="within or between",
            hint=f"add a line like {example}, as the manual says",
        )
    return None


def ends(reading: Reading, at: KeyPath, texts: Sequence[str], kind: Kind | None, unit: str) -> Window | None:
    """The window between two written ends, in `unit`."""
    read = [quantity(reading, (*at, index), text, kind) for index, text in enumerate(texts)]
    low, high = read[0], read[1]
    if low is None or high is None:
        return None
    window = Window(low=convert(low.value, low.unit, unit), high=convert(high.value, high.unit, unit), unit=unit)
    return not_empty(reading, at, window, f"{texts[0]} … {texts[1]}")


def not_empty(reading: Reading, at: KeyPath, window: Window, found: str) -> Window | None:
    """The window, unless no value can lie in it."""
    if window.low is None or window.high is None or window.low < window.high:
        return window
    reading.slips.add(
        Code.EMPTY_WINDOW,
        at,
        f"no value lies between {plain(window.low)} and {plain(window.high)}{behind(window.unit)}",
        found=found,
        allowed="a lower end below the upper end",
        hint="write the lower end first" if window.low > window.high else "write two different ends",
    )
    return None


def torque_limits(reading: Reading, at: KeyPath, texts: Sequence[str]) -> Window | None:
    """`["55 N·m", "95 N·m"]`, "at least 122 N·m" or "at most 95 N·m", in the sheet's unit."""
    if len(texts) == 2:
        return ends(reading, at, texts, Kind.TORQUE, reading.unit)
    if texts[0] == UNREAD:
        return None
    words = re.fullmatch(r"at\s+(least|most)\s+(.*)", texts[0].strip(), re.DOTALL | re.IGNORECASE)
    if words is None:
        reading.slips.add(
            Code.NOT_UNDERSTOOD,
            at,
            f"{quoted(texts[0])} does not say whether it is the least or the most",
            found=texts[0],
            allowed='"at least …", "at most …", or a list of two torques',
            hint='write it like "at least 122 N·m"',
        )
        return None
    read = above_zero(reading, at, words[2], Kind.TORQUE)
    if read is None:
        return None
    end = convert(read.value, read.unit, reading.unit)
    least = words[1].lower() == "least"
    return Window(low=end if least else None, high=None if least else end, unit=reading.unit)


def both(reading: Reading, at: KeyPath, one: str, other: str) -> None:
    """Tell that two keys say the same in different ways."""
    reading.slips.add(
        Code.TWO_LIMITS,
        at,
        f"both {one} and {other} say which values are allowed",
        found=f"{one} and {other}",
        allowed="one of the two",
        hint=f"remove {one} or {other}",
    )


def _holding(reading: Reading, at: KeyPath, window: Window | None, target: Decimal | None) -> Window | None:
    """The window, unless its own target lies outside or it reaches below zero."""
    if window is None or window.low is None or window.high is None:
        return window
    if window.low < 0:
        reading.slips.add(
            Code.DEVIATION,
            at,
            f"the window begins below zero, at {show(window.low, window.unit)}",
            found=f"{plain(window.low)} {window.unit}",
            allowed="zero or more",
            hint="make the part below the target smaller",
        )
        return None
    if target is not None and not window.low <= target <= window.high:
        reading.slips.add(
            Code.TARGET_OUTSIDE,
            at,
            f"the target {plain(target)} {window.unit} is outside its window,"
            f" {plain(window.low)} to {plain(window.high)} {window.unit}",
            found=f"{plain(target)} {window.unit}",
            allowed=f"{plain(window.low)} to {plain(window.high)} {window.unit}",
            hint="compare both with the manual",
        )
        return None
    return window


def _around(reading: Reading, at: KeyPath, text: str, target: Decimal | None, kind: Kind, unit: str) -> Window | None:
    sizes = _deviation(reading, at, text, kind)
    if sizes is None or target is None:
        return None
    below, above = (_in_unit(size, target, unit) for size in sizes)
    window = Window(low=EXACT.subtract(target, below), high=EXACT.add(target, above), unit=unit)
    return not_empty(reading, at, window, text)


def _in_unit(size: Quantity, target: Decimal, unit: str) -> Decimal:
    return share(target, size.value) if size.unit == "%" else convert(size.value, size.unit, unit)


def _deviation(reading: Reading, at: KeyPath, text: str, kind: Kind) -> tuple[Quantity, Quantity] | None:
    """Read how far below and above the target is allowed; the unit may stand at one of the two only."""
    if text == UNREAD:
        return None
    typed = text.strip()
    if same := _SAME_BOTH_WAYS.fullmatch(typed):
        size = _size(reading, at, same["size"], kind)
        return None if size is None else (size, size)
    two = _TWO_WAYS.fullmatch(typed)
    if two is None or (two["first"] == "+") == (two["second"] == "+"):
        reading.slips.add(
            Code.DEVIATION,
            at,
            f"{quoted(text)} is not a deviation with both its ends",
            found=text,
            allowed=_EXAMPLES[kind],
            hint=_WRITE,
        )
        return None
    one, other = _sizes(reading, at, two["one"].strip(), two["other"].strip(), kind)
    if one is None or other is None:
        return None
    return (other, one) if two["first"] == "+" else (one, other)


def _sizes(reading: Reading, at: KeyPath, one: str, other: str, kind: Kind) -> tuple[Quantity | None, Quantity | None]:
    """Both sizes; one that is a bare number takes the unit of the other."""
    if _bare(one) and _bare(other):
        reading.slips.add(
            Code.NO_UNIT,
            at,
            f"{quoted(f'{one} and {other}')} have no unit",
            found=f"{one} and {other}",
            allowed=_EXAMPLES[kind],
            hint=_WRITE,
        )
        return None, None
    if _bare(one):
        last = _size(reading, at, other, kind)
        return (None if last is None else Quantity(number(one), last.unit)), last
    first = _size(reading, at, one, kind)
    if _bare(other):
        return first, None if first is None else Quantity(number(other), first.unit)
    return first, _size(reading, at, other, kind)


def _size(reading: Reading, at: KeyPath, text: str, kind: Kind) -> Quantity | None:
    return quantity(reading, at, text, Kind.SHARE if text.endswith("%") else kind)


def _bare(text: str) -> bool:
    try:
        number(text)
    except UnitFault:
        return False
    return True
