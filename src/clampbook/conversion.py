"""Exact factors between units, from their legal definitions; the only module that imports pint, and only in need.

What ends behind the point is known without it, so that a run begins at once whatever its tools are marked in.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from decimal import ROUND_HALF_EVEN, Context, Decimal, localcontext
from functools import cache
from typing import TYPE_CHECKING

from clampbook.unit_names import Kind, UnitFault, kind_of, with_article

if TYPE_CHECKING:
    from pint import UnitRegistry

# Work in 60 digits, hand on 28: every product of a typed number and a factor is then exact or rounded once.
_WORK = Context(prec=60, rounding=ROUND_HALF_EVEN)
_KEPT = Context(prec=28, rounding=ROUND_HALF_EVEN)

# International yard and pound agreement of 1959 (inch, pound), CGPM 1901 (standard gravity). The angle is a
# dimension of its own, so that a torque is never divided into a turn. Temperatures stand on the Rankine scale, on
# which both zeros are finite decimals.
_DEGREES_IN_A_RADIAN = Decimal("57.295779513082320876798154814105170332405472466564")
_DEFINITIONS = (
    "kilogram = [mass]",
    "metre = [length]",
    "second = [time]",
    "rankine = [temperature]",
    "kelvin = 1.8 * rankine",
    "degree = [angle]",
    "turn = 360 * degree",
    f"radian = {_DEGREES_IN_A_RADIAN} * degree",
    "minute = 60 * second",
    "hour = 60 * minute",
    "day = 24 * hour",
    "millimetre = 0.001 * metre",
    "micrometre = 0.000001 * metre",
    "centimetre = 0.01 * metre",
    "kilometre = 1000 * metre",
    "inch = 0.0254 * metre",
    "foot = 12 * inch",
    "mile = 5280 * foot",
    "newton = kilogram * metre / second ** 2",
    "centinewton = 0.01 * newton",
    "kilonewton = 1000 * newton",
    "kilogram_force = 9.80665 * newton",
    "pound_force = 0.45359237 * kilogram_force",
    "ounce_force = 0.0625 * pound_force",
    "kip = 1000 * pound_force",
    "pascal = newton / metre ** 2",
    "kilopascal = 1000 * pascal",
    "megapascal = 1000000 * pascal",
    "bar = 100000 * pascal",
    "psi = pound_force / inch ** 2",
    "celsius = 1.8 * rankine; offset: 491.67",
    "fahrenheit = rankine; offset: 459.67",
    "one = []",
    "percent = 0.01 * one",
)
_PINT_NAMES = {
    "N·m": "newton * metre",
    "lbf·ft": "pound_force * foot",
    "lbf·in": "pound_force * inch",
    "kgf·m": "kilogram_force * metre",
    "kgf·cm": "kilogram_force * centimetre",
    "ozf·in": "ounce_force * inch",
    "cN·m": "centinewton * metre",
    "kN·m": "kilonewton * metre",
    "°": "degree",
    "turn": "turn",
    "rad": "radian",
    "mm": "millimetre",
    "µm": "micrometre",
    "cm": "centimetre",
    "m": "metre",
    "km": "kilometre",
    "in": "inch",
    "ft": "foot",
    "mile": "mile",
    "N": "newton",
    "kN": "kilonewton",
    "lbf": "pound_force",
    "kgf": "kilogram_force",
    "kip": "kip",
    "s": "second",
    "min": "minute",
    "h": "hour",
    "d": "day",
    "bar": "bar",
    "MPa": "megapascal",
    "kPa": "kilopascal",
    "psi": "psi",
    "%": "percent",
    "°C": "celsius",
    "°F": "fahrenheit",
}
# In base units, whatever ends behind the point: tools and sheets are in these, and need no registry to be worked out.
PLAIN_SIZES = {
    "N·m": Decimal(1),
    "cN·m": Decimal("0.01"),
    "kN·m": Decimal(1000),
    "lbf·ft": Decimal("1.3558179483314004"),
    "lbf·in": Decimal("0.1129848290276167"),
    "ozf·in": Decimal("0.00706155181422604375"),
    "kgf·m": Decimal("9.80665"),
    "kgf·cm": Decimal("0.0980665"),
    "°": Decimal(1),
    "turn": Decimal(360),
    "rad": _DEGREES_IN_A_RADIAN,
    "µm": Decimal("0.000001"),
    "mm": Decimal("0.001"),
    "cm": Decimal("0.01"),
    "m": Decimal(1),
    "km": Decimal(1000),
    "in": Decimal("0.0254"),
    "ft": Decimal("0.3048"),
    "mile": Decimal("1609.344"),
    "N": Decimal(1),
    "kN": Decimal(1000),
    "lbf": Decimal("4.4482216152605"),
    "kgf": Decimal("9.80665"),
    "kip": Decimal("4448.2216152605"),
    "s": Decimal(1),
    "min": Decimal(60),
    "h": Decimal(3600),
    "d": Decimal(86400),
    "bar": Decimal(100000),
    "kPa": Decimal(1000),
    "MPa": Decimal(1000000),
    "%": Decimal("0.01"),
}
# What the mechanics reckon in, where that is not the base unit; shares become plain numbers.
_SIZES_OF_SI = {Kind.ANGLE: _DEGREES_IN_A_RADIAN, Kind.TEMPERATURE: Decimal("1.8")}


@cache
def factor(frm: str, to: str) -> Decimal:
    """How many of `to` make one of `frm`, to 28 digits; for temperatures the size of the degree.

    Raises UnitFault for units of different kinds.
    """
    return _trimmed(_WORK.divide(_size(frm), _size(to))) if _same_kind(frm, to) else Decimal(1)


def convert(value: Decimal, frm: str, to: str) -> Decimal:
    """The value in another unit of its kind, exact where 28 digits can hold it, else rounded once to 28 digits.

    Raises UnitFault for units of different kinds.
    """
    if not _same_kind(frm, to):
        return value
    shifted = _WORK.add(_WORK.multiply(value, _size(frm)), _WORK.subtract(_zero(frm), _zero(to)))
    return _trimmed(_WORK.divide(shifted, _size(to)))


def si(value: Decimal, unit: str) -> float:
    """The value as the mechanics take it: N·m, rad, m, N, s, K, Pa; a share as a plain number (30 % is 0.3)."""
    with localcontext(_WORK):
        return float((value * _size(unit) + _zero(unit)) / _SIZES_OF_SI.get(kind_of(unit), Decimal(1)))


def _same_kind(frm: str, to: str) -> bool:
    """Whether there is anything to convert; raises UnitFault where there is no way."""
    here, there = kind_of(frm), kind_of(to)
    if here != there:
        raise UnitFault(f"{with_article(here)} in {frm} cannot become {with_article(there)} in {to}", allowed=here)
    return frm != to


@contextmanager
def _left_out(module: str) -> Iterator[None]:
    """A module that is not imported yet counts as not installed meanwhile.

    Pint loads numpy wherever it lies, for arrays that are never made here; that takes longer than pint itself.
    """
    if module in sys.modules:
        yield
        return
    sys.modules[module] = None  # type: ignore[assignment]  # how the import system marks what is not to be had
    try:
        yield
    finally:
        del sys.modules[module]


@cache
def _registry() -> UnitRegistry[Decimal]:
    """Our own few units and no others; importing pint takes longer than all the rest, so it waits for need."""
    with _left_out("numpy"):
        from pint import UnitRegistry

    registry: UnitRegistry[Decimal] = UnitRegistry(None, non_int_type=Decimal, on_redefinition="raise")
    for definition in _DEFINITIONS:
        registry.define(definition)
    return registry


@cache
def _size(unit: str) -> Decimal:
    """One step of the unit in base units, in the working precision."""
    return PLAIN_SIZES[unit] if unit in PLAIN_SIZES else by_definition(unit)


def by_definition(unit: str) -> Decimal:
    """The same for any unit, worked out from the definitions."""
    return _WORK.subtract(_in_base(unit, Decimal(1)), _zero(unit))


@cache
def _zero(unit: str) -> Decimal:
    """Where the unit's scale begins, in base units: 0 but for temperatures."""
    return _in_base(unit, Decimal(0)) if kind_of(unit) == Kind.TEMPERATURE else Decimal(0)


def _in_base(unit: str, value: Decimal) -> Decimal:
    with localcontext(_WORK):
        return Decimal(_registry().Quantity(value, _PINT_NAMES[unit]).to_base_units().magnitude)


def _trimmed(value: Decimal) -> Decimal:
    """Rounded to the digits that are kept, without the noughts that division leaves behind the point."""
    short = value.normalize(_KEPT)
    whole = short.adjusted() < _WORK.prec and short == short.to_integral_value()
    return short.quantize(Decimal(1), context=_WORK) if whole else short
