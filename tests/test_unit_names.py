"""The many ways in which people type a unit."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from clampbook.units import UNITS_OF, Kind, Quantity, UnitFault, kind_of, parse, plain, unit_named

UNITS = [unit for units in UNITS_OF.values() for unit in units]

# What people type, unit by unit.
SPELLINGS = {
    "N·m": "Nm|N.m|N-m|N*m|N m|N⋅m|N•m|N×m|NM|nm|N.m.|newton metre|newton metres|Newton-meter|newton meters",
    "lbf·ft": "lbf ft|lbf.ft|lbf-ft|lbfft|ft-lb|ft lb|ftlb|ft.lb|ft·lbf|ft-lbf|ft. lbs.|ft-lbs|lb-ft|lb ft|lbs-ft|FT-LB"
    "|foot-pounds|foot pounds|foot pound|pound-feet|pound-foot|pound-force foot|foot pound-force|feet pounds",
    "lbf·in": "lbf in|lbf.in|in-lb|in lb|in lbs|in.lb|inlb|in·lbf|lb-in|lbs in|inch pounds|inch-pound|pound inches",
    "kgf·m": "kgf m|kgfm|kgf-m|kg·m|kg-m|kgm|mkg|m·kg|mkgf|kpm|kp·m|kilogram-force metre",
    "kgf·cm": "kgf cm|kgfcm|kg-cm|kgcm|cmkg|kp·cm",
    "ozf·in": "ozf in|oz-in|oz in|in-oz|inch ounces|ounce-inch",
    "cN·m": "cNm|cN.m|cN m|Ncm|N·cm|N cm|centinewton metres",
    "kN·m": "kNm|kN.m|kN m|KNm|kilonewton metre",
    "°": "deg|deg.|degree|degrees|Degrees|º|˚",
    "turn": "turns|rev|revolutions",
    "rad": "radian|radians",
    "mm": "MM|mm.|millimetre|millimetres|millimeters",
    "µm": "μm|um|micron|microns|micrometres",
    "cm": "CM|centimetre|centimeters",
    "m": "metre|metres|meter",
    "km": "KM|kilometres|kilometers",
    "in": 'in.|inch|inches|"|″|”|IN',
    "ft": "ft.|foot|feet|'|′",
    "mile": "miles|mi",
    "N": "newton|newtons|n",
    "kN": "KN|kn|kilonewtons",
    "lbf": "LBF|pound-force|pounds-force",
    "kgf": "kp|kilogram-force",
    "kip": "kips",
    "s": "sec|sec.|seconds|S",
    "min": "min.|mins|minute|minutes|MIN",
    "h": "hr|hrs|hour|hours|H",
    "d": "day|days",
    "°C": "C|degC|deg C|º C|° C|℃|celsius",
    "°F": "F|degF|deg F|°f|fahrenheit",
    "bar": "BAR|bars",
    "MPa": "mpa|MPA|N/mm²|N/mm2|megapascal",
    "kPa": "kpa|KPA|kilopascals",
    "psi": "PSI|lbf/in²|lbf/in2",
    "%": "percent|per cent",
    "count": "COUNT",
}
TYPED = [(spelling, unit) for unit, others in SPELLINGS.items() for spelling in (unit, *others.split("|"))]


@pytest.mark.parametrize(("typed", "unit"), TYPED)
def test_a_unit_is_known_by_every_usual_spelling(typed: str, unit: str) -> None:
    """Dots, blanks, hyphens, both orders of force and arm, words and signs."""
    assert unit == unit_named(typed) == unit_named(typed, kind_of(unit))


def test_every_unit_has_spellings_here() -> None:
    """No unit is left untried."""
    assert UNITS == list(SPELLINGS)


@pytest.mark.parametrize("typed", ["lb", "lbs", "lb.", "pound", "pounds", "LB", "#", "oz", "ounces", "kg", "g"])
@pytest.mark.parametrize("kind", [None, Kind.TORQUE, Kind.FORCE])
def test_a_mass_is_neither_torque_nor_force(typed: str, kind: Kind | None) -> None:
    """What is meant by 30 lb is not guessed; the sentence says what can be written."""
    with pytest.raises(UnitFault, match=r"mass.*[.] Write (lbf|ozf|kgf|N)"):
        unit_named(typed, kind)


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        ("mNm", "“mNm” can be milli or mega. 1 mN·m is 0.1 cN·m, 1 MN·m is 1000 kN·m"),
        ("MN·m", "“MN·m” can be milli or mega. 1 mN·m is 0.1 cN·m, 1 MN·m is 1000 kN·m"),
        ("mPa", "“mPa” is a thousandth of a pascal. Write MPa"),
        ("daNm", "“daNm” is not used here. 1 daN·m is 10 N·m"),
        ("ft/lbs", "“ft/lbs” divides where a torque multiplies. Write lbf·ft"),
        ("in/lb", "“in/lb” divides where a torque multiplies. Write lbf·in"),
        ("thou", "“thou” is not used here. 1 thou is 0.001 in"),
    ],
)
def test_a_unit_that_is_not_used_is_told_with_the_one_that_is(typed: str, told: str) -> None:
    """Capitals that would make another unit are not smoothed over."""
    with pytest.raises(UnitFault) as caught:
        unit_named(typed)

    assert told == caught.value.sentence


@pytest.mark.parametrize("typed", ["", "parsec", "N", "m·N", "m m", "Mm", "k N", "Nm" + "." * 80 + "x"])
def test_what_is_no_torque_is_refused_where_a_torque_belongs(typed: str) -> None:
    """The list of what is allowed comes along."""
    with pytest.raises(UnitFault) as caught:
        unit_named(typed, Kind.TORQUE)

    assert "N·m, lbf·ft, lbf·in, kgf·m, kgf·cm, ozf·in, cN·m, kN·m" == caught.value.allowed


def test_the_metre_is_no_minute() -> None:
    """A wait of 10 m is refused rather than guessed."""
    with pytest.raises(UnitFault, match="“m” is a length, not a time"):
        unit_named("m", Kind.TIME)


def test_units_stand_in_a_fixed_order() -> None:
    """A unit is chosen by its number in the list, so the list never changes its order."""
    assert ("N·m", "lbf·ft", "lbf·in", "kgf·m", "kgf·cm", "ozf·in", "cN·m", "kN·m") == UNITS_OF[Kind.TORQUE]


def test_a_name_that_is_not_canonical_has_no_kind() -> None:
    """Inside the program only one name of a unit goes around."""
    with pytest.raises(UnitFault, match="unknown unit “Nm”"):
        kind_of("Nm")


@given(st.text(), st.sampled_from([None, *Kind]))
def test_any_text_is_a_unit_or_told_to_be_none(text: str, kind: Kind | None) -> None:
    """Nothing but a UnitFault with a sentence ever comes out of looking up a unit."""
    try:
        unit = unit_named(text, kind)
    except UnitFault as fault:
        assert fault.sentence
    else:
        assert unit in (UNITS_OF[kind] if kind else UNITS)


@given(st.sampled_from(TYPED), st.decimals("-1000000", "1000000", places=4), st.sampled_from(["", " ", "  "]))
def test_every_spelling_is_read_with_its_number(pair: tuple[str, str], value: Decimal, gap: str) -> None:
    """Number and unit survive in whatever way they are put together."""
    spelling, unit = pair

    assert Quantity(value, unit) == parse(f"{plain(value)}{gap}{spelling}")


def test_each_kind_lists_units_of_its_own() -> None:
    """No unit belongs to two kinds."""
    assert len(UNITS) == len(set(UNITS))
