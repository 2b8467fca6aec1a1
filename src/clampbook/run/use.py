"""Use of the equipment by its meters: what one showed at an earlier run, and at how much work is due again."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal

from msgspec import Struct

from clampbook.unit_names import is_known
from clampbook.units import Quantity, UnitFault, convert, kind_of, number, parse


class Meter(Struct, frozen=True):
    """The answer to what a meter shows: its name in the procedure, the value, and its unit ("" for none)."""

    name: str
    value: str
    unit: str = ""


class DueByUse(Struct, frozen=True):
    """Work that is due after so much use: the meter that counts it, and what it shows when the work is due."""

    meter: Meter
    at: Quantity


def answered_last(answers: Iterable[tuple[str, str | None, str | None]]) -> tuple[Meter, ...]:
    """Give what each meter showed by its last answer, of all answers in their order: name, value and unit. One that
    was left out in the end is none."""
    found: dict[str, Meter] = {}
    for name, value, unit in answers:
        if value:
            found[name] = Meter(name, value, unit or "")
        else:
            found.pop(name, None)
    return tuple(found.values())


def shown(meter: Meter) -> Quantity | None:
    """Give what a meter showed, as a quantity; None where it has no unit, or what was answered is no number."""
    if not meter.unit:
        return None
    try:
        kind_of(meter.unit)
        return Quantity(number(meter.value), meter.unit)
    except (UnitFault, KeyError):
        return parsed(meter.value)


def named(meters: Iterable[Meter], name: str) -> Meter | None:
    """Find a meter by its name."""
    return next((each for each in meters if each.name == name), None)


def in_unit(meter: Meter, unit: str | None) -> Decimal | None:
    """Give what a meter showed, in this unit (None: it has none); None where it was answered in another kind of it, or
    is no number."""
    if unit is None:
        return None if meter.unit else _number(meter.value)
    if not is_known(unit):
        return _number(meter.value) if meter.unit == unit else None
    then = shown(meter)
    if then is None or kind_of(then.unit) != kind_of(unit):
        return None
    return convert(then.value, then.unit, unit)


def gone_by(value: str, before: Decimal) -> Decimal | None:
    """Give how much use went by since a meter showed that much: less than nothing where it shows less now, which was
    mistyped now or then, or another meter was fitted; None where what was answered is no number."""
    now = _number(value)
    return None if now is None else now - before


def _number(text: str) -> Decimal | None:
    try:
        return number(text)
    except UnitFault:
        return None


def parsed(text: str) -> Quantity | None:
    """The quantity of a text such as "10 h"; None where it is none."""
    try:
        return parse(text)
    except UnitFault:
        return None


def due_by_use(meters: Iterable[Meter], after: str) -> DueByUse | None:
    """Tell when work is due that is due after so much use ("10 h"), by the first meter that counts such use; None
    where none does, or where nobody wrote down what it showed."""
    use = parsed(after)
    if use is None:
        return None
    for meter in meters:
        then = shown(meter)
        if then is not None and kind_of(then.unit) == kind_of(use.unit):
            return DueByUse(meter, Quantity(then.value + convert(use.value, use.unit, then.unit), then.unit))
    return None
