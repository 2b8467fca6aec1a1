"""The units a workshop meets: name, kind, and exact size, in one table.

Sizes are legal definitions: the yard and the pound of 1959 (0.9144 m, 0.45359237 kg), the standard gravity of the
CGPM of 1901 (9.80665 m/s²), the kelvin's 273.15 and the degree Fahrenheit of five ninths of it.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from types import MappingProxyType

_INCH, _POUND, _GRAVITY = Fraction("0.0254"), Fraction("0.45359237"), Fraction("9.80665")
_KGF = _GRAVITY
_LBF = _POUND * _GRAVITY
_FOOT = 12 * _INCH
_RADIAN = Fraction("57.295779513082320876798154814105170332405472466564")  # degrees, to 50 digits


class Kind(StrEnum):
    """Kind of quantity: torque, angle, length and so on."""

    TORQUE = "torque"
    ANGLE = "angle"
    LENGTH = "length"
    FORCE = "force"
    TIME = "time"
    TEMPERATURE = "temperature"
    PRESSURE = "pressure"
    SHARE = "share"
    COUNT = "count"


@dataclass(frozen=True, slots=True)
class Unit:
    """One step of the unit is `size` of the first unit in SI that the mechanics reckon in, and its scale begins at
    `zero` of those: N·m, °, m, N, s, K, Pa; a share as a plain number."""

    name: str
    kind: Kind
    size: Fraction
    zero: Fraction = Fraction(0)


COUNT = "count"  # a number of things, which are named where they are counted: it is shown without a unit

# In the fixed order in which a list of units is numbered on the screen: never change the order, only append to a kind.
TABLE: Mapping[str, Unit] = MappingProxyType(
    {
        unit.name: unit
        for unit in (
            Unit("N·m", Kind.TORQUE, Fraction(1)),
            Unit("lbf·ft", Kind.TORQUE, _LBF * _FOOT),
            Unit("lbf·in", Kind.TORQUE, _LBF * _INCH),
            Unit("kgf·m", Kind.TORQUE, _KGF),
            Unit("kgf·cm", Kind.TORQUE, _KGF / 100),
            Unit("ozf·in", Kind.TORQUE, _LBF / 16 * _INCH),
            Unit("cN·m", Kind.TORQUE, Fraction(1, 100)),
            Unit("kN·m", Kind.TORQUE, Fraction(1000)),
            Unit("°", Kind.ANGLE, Fraction(1)),
            Unit("turn", Kind.ANGLE, Fraction(360)),
            Unit("rad", Kind.ANGLE, _RADIAN),
            Unit("mm", Kind.LENGTH, Fraction(1, 1000)),
            Unit("µm", Kind.LENGTH, Fraction(1, 1_000_000)),
            Unit("cm", Kind.LENGTH, Fraction(1, 100)),
            Unit("m", Kind.LENGTH, Fraction(1)),
            Unit("km", Kind.LENGTH, Fraction(1000)),
            Unit("in", Kind.LENGTH, _INCH),
            Unit("ft", Kind.LENGTH, _FOOT),
            Unit("mile", Kind.LENGTH, 5280 * _FOOT),
            Unit("N", Kind.FORCE, Fraction(1)),
            Unit("kN", Kind.FORCE, Fraction(1000)),
            Unit("lbf", Kind.FORCE, _LBF),
            Unit("kgf", Kind.FORCE, _KGF),
            Unit("kip", Kind.FORCE, 1000 * _LBF),
            Unit("s", Kind.TIME, Fraction(1)),
            Unit("min", Kind.TIME, Fraction(60)),
            Unit("h", Kind.TIME, Fraction(3600)),
            Unit("d", Kind.TIME, Fraction(86400)),
            Unit("°C", Kind.TEMPERATURE, Fraction(1), Fraction("273.15")),
            Unit("°F", Kind.TEMPERATURE, Fraction(5, 9), Fraction("459.67") * 5 / 9),
            Unit("bar", Kind.PRESSURE, Fraction(100_000)),
            Unit("MPa", Kind.PRESSURE, Fraction(1_000_000)),
            Unit("kPa", Kind.PRESSURE, Fraction(1000)),
            Unit("psi", Kind.PRESSURE, _LBF / _INCH**2),
            Unit("%", Kind.SHARE, Fraction(1, 100)),
            Unit(COUNT, Kind.COUNT, Fraction(1)),
        )
    }
)
UNITS_OF: Mapping[Kind, tuple[str, ...]] = MappingProxyType(
    {kind: tuple(unit.name for unit in TABLE.values() if unit.kind is kind) for kind in Kind}
)


def behind(unit: str | None) -> str:
    """The text behind a number in this unit: " N·m", "°"; none behind a count, and where there is no unit."""
    if unit == "°":
        return unit
    return f" {unit}" if unit and unit != COUNT else ""


def spelled(unit: str) -> str:
    """A unit behind the word "in", which is not said twice: "inches"."""
    return "inches" if unit == "in" else unit


NO_BREAK = "\N{NO-BREAK SPACE}"
_BEFORE_A_UNIT = re.compile(rf"(?<=[0-9]) (?=(?:{'|'.join(map(re.escape, TABLE))})(?![\w·]))")


def unparted(text: str) -> str:
    """The text as lines are made of it: a number stays with its unit. It is for whoever lays the text out; what is
    stored or handed on has a plain space."""
    return _BEFORE_A_UNIT.sub(NO_BREAK, text)
