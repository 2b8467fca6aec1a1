"""The limits of a measured value, and the unit it is read in: any kind of quantity, in the unit written first."""

from __future__ import annotations

from decimal import Decimal

from clampbook.procedure.amounts import Reading, quantity
from clampbook.procedure.codes import Code
from clampbook.procedure.model import Window
from clampbook.procedure.sheet_stages import MeasureTable
from clampbook.procedure.slips import KeyPath
from clampbook.procedure.washing import UNREAD
from clampbook.procedure.windows import both, not_empty
from clampbook.units import COUNT, Kind, Quantity, UnitFault, convert, kind_of, parse, show, unit_named

_LIMITS = ("between", "at_least", "at_most", "spread")


def limits_of(reading: Reading, at: KeyPath, table: MeasureTable) -> tuple[str | None, Window | None, Quantity | None]:
    """Unit, window and spread of a measuring. The unit is None where it cannot be told."""
    unit = _unit(reading, at, table)
    kind = None if unit is None else kind_of(unit)
    if table.between is not None:
        for key in ("at_least", "at_most"):
            if getattr(table, key) is not None:
                both(reading, (*at, key), "between", key)
    low_text, high_text = table.between if table.between is not None else (table.at_least, table.at_most)
    low_at = (*at, "between", 0) if table.between is not None else (*at, "at_least")
    high_at = (*at, "between", 1) if table.between is not None else (*at, "at_most")
    low = _in_unit(reading, low_at, low_text, kind, unit)
    high = _in_unit(reading, high_at, high_text, kind, unit)
    spread = _spread(reading, at, table.spread, kind, unit)
    if unit is None or (low is None and high is None):
        return unit, None, spread
    window = Window(low=low, high=high, unit=unit)
    return (
        unit,
        not_empty(reading, low_at[:-1] if table.between else low_at, window, f"{low_text} … {high_text}"),
        spread,
    )


def _unit(reading: Reading, at: KeyPath, table: MeasureTable) -> str | None:
    if table.unit is not None:
        return _named_unit(reading, (*at, "unit"), table.unit)
    written = [*(table.between or ()), table.at_least, table.at_most, table.spread]
    texts = [text for text in written if text is not None]
    for text in texts:
        try:
            return parse(text).unit
        except UnitFault:
            continue
    if not texts:
        reading.slips.add(
            Code.NO_LIMIT,
            at,
            "nothing says what is allowed, or in which unit the value is read",
            found="nothing",
            allowed=f"one of {', '.join(_LIMITS)}; or unit alone, where nothing is judged",
            hint='add a line like between = ["0.10 mm", "0.25 mm"], or unit = "mm" where nothing is judged',
        )
    return None


def _named_unit(reading: Reading, at: KeyPath, text: str) -> str | None:
    if text == UNREAD:
        return None
    try:
        return unit_named(text)
    except UnitFault as fault:
        reading.slips.add(Code.NOT_UNDERSTOOD, at, fault.sentence, found=text, allowed=fault.allowed, hint=fault.hint)
        return None


def _in_unit(reading: Reading, at: KeyPath, text: str | None, kind: Kind | None, unit: str | None) -> Decimal | None:
    read = _read(reading, at, text, kind)
    return None if read is None or unit is None else convert(read.value, read.unit, unit)


def _read(reading: Reading, at: KeyPath, text: str | None, kind: Kind | None) -> Quantity | None:
    """The limit as it is written; of a count a whole number, from none on."""
    if kind is not Kind.COUNT:
        return quantity(reading, at, text, kind)
    read = quantity(reading, at, text, kind, unit=COUNT)
    if read is None or (read.value >= 0 and read.value == int(read.value)):
        return read
    reading.slips.add(
        Code.NOT_POSSIBLE,
        at,
        f"{show(read.value, COUNT)} is not possible as a count",
        found=text or "",
        allowed="a whole number from 0",
        hint="write a whole number, without a unit",
    )
    return None


def _spread(reading: Reading, at: KeyPath, text: str | None, kind: Kind | None, unit: str | None) -> Quantity | None:
    read = _read(reading, (*at, "spread"), text, kind)
    if read is None or unit is None:
        return None
    if read.value <= 0:
        reading.slips.add(
            Code.NOT_POSSIBLE,
            (*at, "spread"),
            "the spread is not above zero",
            found=text or "",
            allowed="above zero",
            hint="write a spread above zero",
        )
    return read
