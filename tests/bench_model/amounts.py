"""Torques as exact fractions, with unit factors of its own."""

from fractions import Fraction
from math import ceil, floor

POUND = Fraction("0.45359237")  # kg, exact (international yard and pound agreement, 1959)
GRAVITY = Fraction("9.80665")  # m/s², standard
FOOT = Fraction("0.3048")  # m, exact

IN_NEWTON_METRES = {
    "N·m": Fraction(1),
    "cN·m": Fraction(1, 100),
    "kN·m": Fraction(1000),
    "lbf·ft": POUND * GRAVITY * FOOT,
    "lbf·in": POUND * GRAVITY * FOOT / 12,
    "kgf·m": GRAVITY,
    "kgf·cm": GRAVITY / 100,
    "ozf·in": POUND * GRAVITY * FOOT / 12 / 16,
}


def is_torque(unit: str | None) -> bool:
    """Whether a unit is one of torque."""
    return unit in IN_NEWTON_METRES


def newton_metres(value: Fraction, unit: str) -> Fraction:
    """A torque in N·m, exactly."""
    return value * IN_NEWTON_METRES[unit]


def in_unit(torque: Fraction, unit: str) -> Fraction:
    """A torque given in N·m in another unit, exactly."""
    return torque / IN_NEWTON_METRES[unit]


def nearest(value: Fraction, step: Fraction) -> Fraction:
    """The scale line nearest to a value."""
    return floor(value / step + Fraction(1, 2)) * step


def lines_within(low: Fraction, high: Fraction, step: Fraction) -> tuple[Fraction, Fraction] | None:
    """The first and the last scale line of a window, None where there is none in it."""
    first, last = ceil(low / step) * step, floor(high / step) * step
    return (first, last) if first <= last else None


def written(value: Fraction, step: Fraction = Fraction(1, 1000)) -> str:
    """A value as one types it, with as many places as the step of a scale has."""
    places = 0
    while step * 10**places % 1 and places < 9:
        places += 1
    scaled = nearest(value * 10**places, Fraction(1))
    sign, whole = ("-" if scaled < 0 else ""), abs(int(scaled))
    digits = str(whole).rjust(places + 1, "0")
    return sign + (f"{digits[:-places]}.{digits[-places:]}" if places else digits)
