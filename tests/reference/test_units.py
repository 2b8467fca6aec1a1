"""Factors between units against published ones."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest

from clampbook.units import convert, duration, factor, inwards, show, si

# NIST SP 811 (2008), Appendix B.8, factors as printed there (as read in copies of the table): (from, to, factor).
# Pounds and psi in one copy, kgf and ozf·in as public programs quote it, the others in a second copy.
NIST_SP_811 = [
    ("lbf·ft", "N·m", "1.355818"),
    ("lbf·in", "N·m", "0.1129848"),
    ("ozf·in", "N·m", "0.007061552"),
    ("lbf", "N", "4.448222"),
    ("kip", "kN", "4.448222"),
    ("psi", "kPa", "6.894757"),
    ("psi", "bar", "0.06894757"),
    ("psi", "MPa", "0.006894757"),
    ("bar", "MPa", "0.1"),
    ("kgf·m", "N·m", "9.80665"),
    ("kgf", "N", "9.80665"),
    ("in", "cm", "2.54"),
    ("ft", "m", "0.3048"),
    ("mile", "km", "1.609344"),
    ("°", "rad", "0.01745329"),
    ("bar", "kPa", "100"),
    ("min", "s", "60"),
    ("h", "s", "3600"),
    ("d", "s", "86400"),
]
# The definitions: international yard and pound (1959), standard gravity (CGPM 1901).
INCH = Fraction("0.0254")
POUND_FORCE = Fraction("0.45359237") * Fraction("9.80665")
FROM_DEFINITIONS = [
    ("lbf·ft", "N·m", POUND_FORCE * 12 * INCH),
    ("lbf·in", "N·m", POUND_FORCE * INCH),
    ("ozf·in", "N·m", POUND_FORCE / 16 * INCH),
    ("kgf·cm", "N·m", Fraction("9.80665") / 100),
    ("kgf·m", "lbf·ft", Fraction("9.80665") / (POUND_FORCE * 12 * INCH)),
    ("N·m", "lbf·ft", 1 / (POUND_FORCE * 12 * INCH)),
    ("kip", "N", POUND_FORCE * 1000),
    ("psi", "bar", POUND_FORCE / INCH**2 / 100_000),
    ("bar", "psi", 100_000 * INCH**2 / POUND_FORCE),
    ("MPa", "psi", 1_000_000 * INCH**2 / POUND_FORCE),
    ("cN·m", "kN·m", Fraction(1, 100_000)),
    ("µm", "in", Fraction(1, 1_000_000) / INCH),
    ("°F", "°C", Fraction(5, 9)),
]
# Army TM 9-2320-362-14&P, Table F-1, which prints both units in whole numbers: lbf·ft and N·m.
ARMY_ROWS = [(6, 8), (26, 35), (65, 88), (185, 251), (635, 861)]


@pytest.mark.parametrize(("frm", "to", "printed"), NIST_SP_811)
def test_factors_are_those_of_the_table(frm: str, to: str, printed: str) -> None:
    """Rounded to as many places as are printed, the factor is the printed one."""
    assert Decimal(printed) == factor(frm, to).quantize(Decimal(printed))


@pytest.mark.parametrize("unit", ["s", "min", "h", "d"])
def test_durations_reckon_with_the_same_factors(unit: str) -> None:
    """A time read as a duration is the time converted."""
    assert factor(unit, "s") == duration(f"1 {unit}")


@pytest.mark.parametrize(("frm", "to", "ratio"), FROM_DEFINITIONS)
def test_factors_follow_from_the_definitions(frm: str, to: str, ratio: Fraction) -> None:
    """In 28 digits the factor is the ratio of the definitions, reckoned in whole fractions."""
    assert abs(Fraction(factor(frm, to)) / ratio - 1) < Fraction(1, 10**27)


@pytest.mark.parametrize(("foot_pounds", "newton_metres"), ARMY_ROWS)
def test_a_table_in_both_units_agrees(foot_pounds: int, newton_metres: int) -> None:
    """Both columns are the same torque, rounded to ones."""
    assert f"{newton_metres} N·m" == show(convert(Decimal(foot_pounds), "lbf·ft", "N·m"), "N·m", resolution=Decimal(1))


def test_a_pound_force_foot_is_known_to_all_its_digits() -> None:
    """0.45359237 × 9.80665 × 0.3048, multiplied out by hand."""
    assert Decimal("1.3558179483314004") == factor("lbf·ft", "N·m")
    assert 1.3558179483314004 == si(Decimal(1), "lbf·ft")


def test_the_window_of_a_sheet_in_newton_metres_on_a_tool_in_pound_feet() -> None:
    """28 to 32 N·m is 20.651… to 23.601… lbf·ft (by the factor 1.355 818), inwards 20.7 to 23.6."""
    assert (Decimal("20.7"), Decimal("23.6")) == inwards(Decimal(28), Decimal(32), "N·m", "lbf·ft")
