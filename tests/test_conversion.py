"""From one unit to another without a loss."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Callable
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from pint import UnitRegistry

from clampbook.units import UNITS_OF, Kind, UnitFault, convert, factor, kind_of, plain, si
from drawn import decimals

UNITS = [unit for units in UNITS_OF.values() for unit in units]
PINT_NAMES = {
    "N·m": "newton * metre",
    "lbf·ft": "force_pound * foot",
    "lbf·in": "force_pound * inch",
    "kgf·m": "force_kilogram * metre",
    "kgf·cm": "force_kilogram * centimetre",
    "ozf·in": "force_ounce * inch",
    "cN·m": "centinewton * metre",
    "kN·m": "kilonewton * metre",
    "°": "degree",
    "in": "inch",
    "lbf": "force_pound",
    "kgf": "force_kilogram",
    "°C": "degC",
    "°F": "degF",
    "%": "percent",
}
LINEAR = [unit for unit in UNITS if kind_of(unit) != Kind.TEMPERATURE]


def test_the_unit_it_has_already_changes_nothing() -> None:
    """No digit is added or dropped."""
    assert "22.10" == str(convert(Decimal("22.10"), "N·m", "N·m"))


def test_the_product_is_exact() -> None:
    """A verdict is taken on the exact product, not on a rounded one."""
    assert Decimal("29.96357665812394884") == convert(Decimal("22.1"), "lbf·ft", "N·m")


@pytest.mark.parametrize(
    ("value", "frm", "to", "expected"),
    [
        ("0", "°C", "°F", "32"),
        ("100", "°C", "°F", "212"),
        ("-40", "°F", "°C", "-40"),
        ("68", "°F", "°C", "20"),
        ("1", "turn", "°", "360"),
        ("12", "lbf·in", "lbf·ft", "1"),
        ("1", "h", "min", "60"),
        ("1", "mile", "km", "1.609344"),
        ("250", "N·m", "kN·m", "0.25"),
        ("50", "kgf·cm", "kgf·m", "0.5"),
        ("16", "ozf·in", "lbf·in", "1"),
    ],
)
def test_round_numbers_come_out_round(value: str, frm: str, to: str, expected: str) -> None:
    """Where the definitions give a whole result, no digit of a division is left behind."""
    assert expected == plain(convert(Decimal(value), frm, to))


@pytest.mark.parametrize(
    ("value", "unit", "expected"),
    [
        ("30", "N·m", 30.0),
        ("180", "°", 3.141592653589793),
        ("10", "mm", 0.01),
        ("18", "kN", 18000.0),
        ("10", "min", 600.0),
        ("20", "°C", 293.15),
        ("6", "bar", 600000.0),
        ("30", "%", 0.3),
    ],
)
def test_the_mechanics_reckon_in_si(value: str, unit: str, expected: float) -> None:
    """N·m, rad, m, N, s, K, Pa, and a share as a plain number."""
    assert expected == si(Decimal(value), unit)


@pytest.mark.parametrize("function", [factor, lambda frm, to: convert(Decimal(1), frm, to)])
def test_a_torque_cannot_become_an_angle(function: object) -> None:
    """There is no factor between kinds."""
    assert callable(function)
    with pytest.raises(UnitFault, match="a torque in N·m cannot become an angle in °"):
        function("N·m", "°")


@given(decimals(), st.sampled_from(UNITS), st.data())
def test_there_and_back_is_where_it_began(value: Decimal, unit: str, data: st.DataObject) -> None:
    """What was converted and converted back is the same to 24 digits."""
    other = data.draw(st.sampled_from(UNITS_OF[kind_of(unit)]))

    back = convert(convert(value, unit, other), other, unit)

    assert abs(back - value) <= Decimal("1e-18")


@given(decimals(), st.sampled_from(LINEAR), st.data())
def test_converting_is_multiplying_by_the_factor(value: Decimal, unit: str, data: st.DataObject) -> None:
    """But for temperatures one factor does it."""
    other = data.draw(st.sampled_from(UNITS_OF[kind_of(unit)]))
    product = value * factor(unit, other)

    assert abs(convert(value, unit, other) - product) <= abs(product) * Decimal("1e-26")


@given(decimals(), decimals(), st.sampled_from(UNITS), st.data())
def test_the_larger_stays_the_larger(one: Decimal, two: Decimal, unit: str, data: st.DataObject) -> None:
    """No conversion turns an order around."""
    assume(one < two)
    other = data.draw(st.sampled_from(UNITS_OF[kind_of(unit)]))

    assert convert(one, unit, other) < convert(two, unit, other)


@pytest.fixture(scope="module")
def pint_says() -> Callable[[Fraction, str, str], Fraction]:
    """The same from the definitions of a library of units that knows nothing of this table."""
    registry: UnitRegistry[Fraction] = UnitRegistry(non_int_type=Fraction)

    def converted(value: Fraction, frm: str, to: str) -> Fraction:
        quantity = registry.Quantity(value, PINT_NAMES.get(frm, frm))
        return Fraction(quantity.to(PINT_NAMES.get(to, to)).magnitude)

    return converted


@pytest.mark.parametrize(
    ("frm", "to"), [(frm, to) for units in UNITS_OF.values() for frm in units for to in units if frm != to]
)
@pytest.mark.parametrize("value", ["1", "0", "-40", "22.1", "1234.5678"])
def test_every_pair_of_units_agrees_with_a_library_of_units(
    value: str, frm: str, to: str, pint_says: Callable[[Fraction, str, str], Fraction]
) -> None:
    """Each is worked out there from its own definitions, as a fraction."""
    said = pint_says(Fraction(value), frm, to)

    here = Fraction(convert(Decimal(value), frm, to))

    assert abs(here - said) <= abs(said) * Fraction(1, 10**26)


def test_the_program_needs_no_library_of_units() -> None:
    """What it knows is in one table, and a run begins at once."""
    program = (
        "import sys; from decimal import Decimal; from clampbook import units; "
        "units.parse('22,1 ft-lb'); units.factor('psi', 'bar'); units.convert(Decimal(20), '°C', '°F'); "
        "assert not {'pint', 'numpy'} & sys.modules.keys()"
    )

    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=False)

    assert (0, "") == (done.returncode, done.stderr)
