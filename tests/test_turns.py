"""Parts of a turn as manuals write them, in degrees."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from clampbook.turns import in_degrees, part_of
from clampbook.units import Kind, Quantity, UnitFault, parse

# Halves, thirds, quarters … of a turn that are a round figure in degrees.
BELOW = st.sampled_from([1, 2, 3, 4, 5, 6, 8, 9, 10, 12, 16, 18, 20, 24, 36, 45, 72, 90, 180, 360])
SIGNS = {"½": "1/2", "⅓": "1/3", "⅔": "2/3", "¼": "1/4", "¾": "3/4", "⅙": "1/6", "⅚": "5/6", "⅛": "1/8", "⅜": "3/8"}


@pytest.mark.parametrize(
    ("typed", "degrees"),
    [
        ("1/2 turn", "180"),
        ("1/3 turn", "120"),
        ("2/3 turn", "240"),
        ("1 1/2 turns", "540"),
        ("1-1/2 turns", "540"),
        ("1½ turns", "540"),
        ("½ rev", "180"),
        ("1/16 turn", "22.5"),
        ("-1/4 turn", "-90"),
        ("+1/12 turn", "30"),
    ],
)
def test_a_part_of_a_turn_is_an_angle_in_degrees(typed: str, degrees: str) -> None:
    """The turns of structural bolting (RCSC 2014, Table 8.2, from memory) and some others."""
    assert Quantity(Decimal(degrees), "°") == parse(typed, Kind.ANGLE)


@given(whole=st.integers(0, 20), above=st.integers(0, 999), below=BELOW, mark=st.sampled_from([" ", "-"]))
def test_any_part_of_a_turn_is_exact(whole: int, above: int, below: int, mark: str) -> None:
    """The degrees are 360 times the fraction, to the last digit, with a whole number before it and without."""
    mixed = parse(f"{whole}{mark}{above}/{below} turns")
    alone = parse(f"{above}/{below} turn")

    assert Fraction(alone.value) == Fraction(above * 360, below)
    assert Fraction(mixed.value) == whole * 360 + Fraction(above * 360, below)


@given(above=st.integers(1, 999), below=st.integers(1, 999))
def test_what_has_no_end_in_degrees_is_refused_and_nothing_is_rounded(above: int, below: int) -> None:
    """Either the degrees are exact, or the sentence names degrees to write."""
    exact = Fraction(above * 360, below)
    try:
        assert Fraction(parse(f"{above}/{below} turn").value) == exact
    except UnitFault as fault:
        assert in_degrees(Fraction(above, below)) is None
        assert "Write it in degrees" in fault.sentence


@pytest.mark.parametrize("sign", SIGNS)
def test_a_fraction_of_one_character_is_the_same_as_of_three(sign: str) -> None:
    """Alone and behind a number."""
    assert parse(f"{SIGNS[sign]} turn") == parse(f"{sign} turn")
    assert parse(f"2 {SIGNS[sign]} turns") == parse(f"2{sign} turns") == parse(f"2 {sign} turns")


@given(st.text(alphabet="0123456789/ -+½⅓turns.°", max_size=16))
def test_any_text_is_an_angle_or_a_sentence(typed: str) -> None:
    """Nothing that looks like a turn takes the program down."""
    try:
        assert parse(typed, Kind.ANGLE).unit in ("°", "turn")
    except UnitFault as fault:
        assert fault.sentence


@pytest.mark.parametrize("typed", ["1/2 in", "1/2", "½ mm", "1/0 turn", "1/3 N·m", "turn", "1//2 turn"])
def test_nothing_but_a_turn_takes_a_fraction(typed: str) -> None:
    """A length or a torque in fractions stays refused, and so does a part of nothing."""
    with pytest.raises(UnitFault):
        parse(typed)


def test_a_turn_is_not_a_torque() -> None:
    """It is told as what it is."""
    with pytest.raises(UnitFault, match="“1/2 turn” is an angle, not a torque"):
        parse("1/2 turn", Kind.TORQUE)


def test_what_is_not_a_fraction_is_left_to_others() -> None:
    """A decimal part of a turn stays as typed."""
    assert part_of("0.5 turn") is None
    assert Quantity(Decimal("0.5"), "turn") == parse("0.5 turn")
