"""From one unit to another without a loss."""

from __future__ import annotations

import subprocess
import sys
from decimal import Decimal
from unittest.mock import patch

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from clampbook.conversion import PLAIN_SIZES, by_definition
from clampbook.units import UNITS_OF, Kind, UnitFault, convert, factor, kind_of, plain, si

UNITS = [unit for units in UNITS_OF.values() for unit in units]
LINEAR = [unit for unit in UNITS if kind_of(unit) != Kind.TEMPERATURE]


def decimals(most: str = "1000000", places: int = 6) -> st.SearchStrategy[Decimal]:
    """Numbers as people type them, of either sign."""
    return st.decimals(f"-{most}", most, places=places, allow_nan=False, allow_infinity=False)


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


@pytest.mark.parametrize("unit", PLAIN_SIZES)
def test_what_is_known_by_heart_is_what_the_definitions_give(unit: str) -> None:
    """The sizes that need no registry are those that the registry works out, digit for digit."""
    assert by_definition(unit) == PLAIN_SIZES[unit]


@pytest.mark.parametrize("frm", PLAIN_SIZES)
def test_units_of_the_workshop_never_wait_for_the_registry(frm: str) -> None:
    """A run begins without the library of units, whatever its tools are marked in."""
    with patch("clampbook.conversion._registry", side_effect=AssertionError("not needed")):
        for to in set(UNITS_OF[kind_of(frm)]) & PLAIN_SIZES.keys():
            assert abs(convert(convert(Decimal(3), frm, to), to, frm) - 3) <= Decimal("1e-24")
        assert si(Decimal(3), frm) > 0


def test_reading_alone_never_waits_for_the_conversion() -> None:
    """The library with the factors is loaded with the first conversion, not with the program."""
    program = (
        "import sys; from decimal import Decimal; from clampbook import units; "
        "units.parse('22,1 ft-lb'); units.show_window(Decimal(28), Decimal(32), 'N·m'); units.duration('1 h 10 s'); "
        "assert 'pint' not in sys.modules; units.factor('psi', 'bar'); assert 'pint' in sys.modules"
    )

    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=False)

    assert (0, "") == (done.returncode, done.stderr)
