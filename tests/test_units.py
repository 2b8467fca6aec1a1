"""Quantities as they are typed."""

from __future__ import annotations

from decimal import Decimal

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from clampbook.units import (
    COUNT,
    UNITS_OF,
    Kind,
    Quantity,
    UnitFault,
    duration,
    kind_of,
    number,
    parse,
    plain,
    show,
    show_duration,
)
from drawn import decimals

# A count stands without its unit.
UNITS = [unit for units in UNITS_OF.values() for unit in units if unit != COUNT]


def refusal(text: str, kind: Kind | None = None) -> str:
    """The sentence with which a quantity is refused."""
    with pytest.raises(UnitFault) as caught:
        parse(text, kind)
    return caught.value.sentence


class TestNumbers:
    """A number is digits with a point or a comma."""

    @pytest.mark.parametrize(
        ("typed", "value"),
        [
            ("30", "30"),
            ("22.1", "22.1"),
            ("22,1", "22.1"),
            ("22.10", "22.10"),
            (".5", "0.5"),
            (",5", "0.5"),
            ("0,125", "0.125"),
            ("1.250", "1.250"),
            ("12345", "12345"),
            ("1,2500", "1.2500"),
            (" 7 ", "7"),
            ("+4", "4"),
            ("-3", "-3"),
            ("−3", "-3"),
            ("–3", "-3"),
            ("- 3", "-3"),
            ("9" * 30, "9" * 30),
            ("-0." + "1" * 29, "-0." + "1" * 29),
        ],
    )
    def test_a_number_is_kept_digit_for_digit(self, typed: str, value: str) -> None:
        """Point or comma, any minus; noughts at the end say how finely it was read."""
        assert value == str(number(typed))

    @pytest.mark.parametrize("typed", ["0", "-0", "−0,0", "+0.00"])
    def test_nothing_has_no_sign(self, typed: str) -> None:
        """Minus nought is nought."""
        assert not number(typed).is_signed()

    @pytest.mark.parametrize(
        ("typed", "told"),
        [
            ("", "a number is missing"),
            ("1,000.5", "“1,000.5” has its thousands set apart. Write them together"),
            ("1.000,5", "“1.000,5” has its thousands set apart. Write them together"),
            ("1,000,000", "“1,000,000” has its thousands set apart. Write them together"),
            ("1 000", "“1 000” has its thousands set apart. Write them together"),
            ("1'000", "“1'000” has its thousands set apart. Write them together"),
            ("22.", "“22.” ends in a point or comma. Add the digits after it, or remove it"),
            ("1e3", "“1e3” has an exponent. Write the number out"),
            ("NaN", "“NaN” is not a number"),
            ("Infinity", "“Infinity” is not a number"),
            ("٣", "“٣” is not a number"),
            ("３０", "“３０” is not a number"),
            ("1_000", "“1_000” is not a number"),
            ("5-10", "“5-10” has more than one number. Write one alone"),
            ("--5", "“--5” is not a number"),
            ("22.1.3", "“22.1.3” is not a number"),
            ("-", "“-” is not a number"),
            (".", "“.” is not a number"),
            ("9" * 31, f"“{'9' * 31}” is too long for a number. Use 30 digits at most"),
            ("9" * 5000, f"“{'9' * 60}…” is too long for a number. Use 30 digits at most"),
        ],
    )
    def test_what_is_no_plain_number_is_refused_by_its_slip(self, typed: str, told: str) -> None:
        """The sentence names the slip and what to write."""
        with pytest.raises(UnitFault) as caught:
            number(typed)

        assert told == caught.value.sentence

    def test_a_comma_before_three_digits_can_be_read_in_two_ways(self) -> None:
        """1,250 lbf·in is one or more than a thousand, depending on where one learned to write."""
        with pytest.raises(UnitFault, match=r"can be read as 1\.250 or as 1250"):
            number("1,250")

    def test_nobody_writes_thousands_of_millimetres(self) -> None:
        """A micrometer read as 91,125 mm on a pad without a point is no riddle."""
        assert Quantity(Decimal("91.125"), "mm") == parse("91,125 mm")

    @given(st.text())
    def test_any_text_is_a_number_or_told_to_be_none(self, text: str) -> None:
        """Nothing but a UnitFault with a sentence ever comes out of reading a number."""
        try:
            value = number(text)
        except UnitFault as fault:
            assert fault.sentence
        else:
            assert value.is_finite()

    @given(decimals(), st.sampled_from([".", ","]))
    def test_what_is_written_plainly_is_read_back(self, value: Decimal, mark: str) -> None:
        """Six places leave no doubt about the comma."""
        assert value == number(plain(value).replace(".", mark))


class TestQuantities:
    """A quantity is a number and its unit."""

    @pytest.mark.parametrize(
        ("typed", "value", "unit"),
        [
            ("30 N·m", "30", "N·m"),
            ("30Nm", "30", "N·m"),
            ("22,1 ft-lb", "22.1", "lbf·ft"),
            ("90°", "90", "°"),
            ("+4°", "4", "°"),
            ("−0.1 mm", "-0.1", "mm"),
            ('5"', "5", "in"),
            ("5'", "5", "ft"),
            ("30\u00a0N·m", "30", "N·m"),
            ("  1.50   kgf·m ", "1.50", "kgf·m"),
            ("30 %", "30", "%"),
            ("0.25 turn", "0.25", "turn"),
        ],
    )
    def test_a_number_and_a_unit_make_a_quantity(self, typed: str, value: str, unit: str) -> None:
        """With or without a blank between them; the number stays as typed."""
        read = parse(typed)

        assert (value, unit) == (str(read.value), read.unit)

    @pytest.mark.parametrize(
        ("kind", "told"),
        [
            (None, "“30” needs its unit, such as 30 N·m"),
            (Kind.TORQUE, "“30” needs its unit, such as 30 N·m"),
            (Kind.ANGLE, "“30” needs its unit, such as 30°"),
            (Kind.TIME, "“30” needs its unit, such as 30 min"),
        ],
    )
    def test_a_bare_number_is_refused(self, kind: Kind | None, told: str) -> None:
        """A number without its unit is the classic mix-up."""
        assert told == refusal("30", kind)

    def test_a_bare_number_takes_the_unit_of_the_tool(self) -> None:
        """Where the unit is known, it need not be typed."""
        assert Quantity(Decimal("22.1"), "lbf·ft") == parse("22.1", Kind.TORQUE, unit="lbf·ft")

    def test_a_typed_unit_goes_before_the_one_of_the_tool(self) -> None:
        """Whoever types a unit means it."""
        assert Quantity(Decimal(30), "N·m") == parse("30 Nm", Kind.TORQUE, unit="lbf·ft")

    def test_an_angle_is_no_torque(self) -> None:
        """The sentence names both kinds and what was typed."""
        assert "“90°” is an angle, not a torque" == refusal("90°", Kind.TORQUE)

    def test_a_unit_of_the_tool_of_the_wrong_kind_is_refused(self) -> None:
        """An angle gauge takes no torque."""
        with pytest.raises(UnitFault, match="“30” is a torque, not an angle"):
            parse("30", Kind.ANGLE, unit="N·m")

    @pytest.mark.parametrize(
        ("typed", "told"),
        [
            ("", "a number is missing"),
            ("N·m", "“N·m” does not begin with a number. Write a number and its unit"),
            ("NaN N·m", "“NaN N·m” does not begin with a number. Write a number and its unit"),
            ("30 lb", "“lb” can be a mass, a force or half of a torque. Write lbf, lbf·ft or lbf·in"),
            ("½ in", "“½ in” has a fraction. Only turns take one, like 1/2 turn. Write a decimal, like 0.5"),
            ("1e3 Nm", "“1e3 Nm” has an exponent. Write the number out"),
            ("1'000 Nm", "“1'000 Nm” has its thousands set apart. Write them together"),
            ("28 – 32 N·m", "“28 – 32” has more than one number. Write one alone"),
            ("30 N·m ± 2", "“30 N·m ± 2” has more than one number. Write one alone"),
            ("28 N·m - 32 N·m", "“28 N·m - 32 N·m” has more than one number. Write one alone"),
            ("1 h 30 min", "“1 h 30 min” has more than one number. Write one alone"),
            ("\u202e30 N·m", "“\\u{202e}30 N·m” does not begin with a number. Write a number and its unit"),
        ],
    )
    def test_what_is_no_quantity_is_refused_by_its_slip(self, typed: str, told: str) -> None:
        """Each slip has its own words."""
        assert told == refusal(typed)

    def test_an_unknown_unit_is_told_with_those_of_the_kind(self) -> None:
        """Only what would be accepted is listed."""
        assert ("“foo” is not a unit of force known here. Use N, kN, lbf, kgf, kip") == refusal("30 foo", Kind.FORCE)

    @given(decimals("1000", places=2), st.sampled_from(UNITS))
    def test_what_is_shown_as_typed_is_read_back(self, value: Decimal, unit: str) -> None:
        """A quantity of five digits is shown as it was typed, and reads as the same."""
        assert Quantity(value, unit) == parse(show(value, unit))

    @given(st.text(), st.sampled_from([None, *Kind]))
    def test_any_text_is_a_quantity_or_told_to_be_none(self, text: str, kind: Kind | None) -> None:
        """Nothing but a UnitFault with a sentence ever comes out of reading a quantity."""
        try:
            read = parse(text, kind)
        except UnitFault as fault:
            assert fault.sentence
        else:
            assert kind is None or kind == kind_of(read.unit)

    @given(st.text(alphabet="0123456789.,-−+'/ NmftlbkgzinoµV°%\u202e\ud800", max_size=80))
    def test_a_near_quantity_is_read_or_refused(self, text: str) -> None:
        """The same for text that looks much like a quantity."""
        try:
            read = parse(text)
        except UnitFault as fault:
            assert fault.sentence.encode()
        else:
            assert read.value.is_finite()

    def test_a_quantity_goes_to_disk_and_back(self) -> None:
        """The frozen plan holds quantities with their digits."""
        quantity = Quantity(Decimal("22.10"), "lbf·ft")

        assert quantity == msgspec.json.decode(msgspec.json.encode(quantity), type=Quantity)
        assert b'{"value":"22.10","unit":"lbf\xc2\xb7ft"}' == msgspec.json.encode(quantity)


class TestDurations:
    """Times of waiting and curing."""

    @pytest.mark.parametrize(
        ("typed", "seconds"),
        [
            ("10 min", "600"),
            ("1 h 30 min", "5400"),
            ("1h30min", "5400"),
            ("24 h", "86400"),
            ("2 s", "2"),
            ("1.5 h", "5400"),
            ("1,5 hours", "5400"),
            ("2 d 6 h", "194400"),
            ("0.5 s", "0.5"),
            ("1 minute 5 seconds", "65"),
        ],
    )
    def test_a_time_may_have_several_units(self, typed: str, seconds: str) -> None:
        """The larger before the smaller."""
        assert Decimal(seconds) == duration(typed)

    @pytest.mark.parametrize(
        ("typed", "told"),
        [
            ("", "a number is missing"),
            ("10", "“10” needs its unit, such as 10 min"),
            ("1h30", "“30” needs its unit, such as 30 min"),
            ("30 min 1 h", "“30 min 1 h” has its units out of order. Write it like 1 h 30 min"),
            ("1 h 1 h", "“1 h 1 h” has its units out of order. Write it like 1 h 30 min"),
            ("-5 s", "“-5 s” is negative. Write 0 s or more"),
            ("10 mm", "“10 mm” is a length, not a time"),
            ("10 m", "“10 m” is a length, not a time"),
            ("1:30", "“:30” is not a unit of time known here. Use s, min, h, d"),
        ],
    )
    def test_what_is_no_time_is_refused_by_its_slip(self, typed: str, told: str) -> None:
        """Minutes are never guessed."""
        with pytest.raises(UnitFault) as caught:
            duration(typed)

        assert told == caught.value.sentence

    @pytest.mark.parametrize(
        ("seconds", "shown"),
        [
            ("0", "0 s"),
            ("2.5", "2.5 s"),
            ("600", "10 min"),
            ("5400", "1 h 30 min"),
            ("86400", "24 h"),
            ("90061", "25 h 1 min 1 s"),
            ("172800", "2 d"),
            ("-300", "−5 min"),
        ],
    )
    def test_a_time_is_shown_in_the_units_people_use(self, seconds: str, shown: str) -> None:
        """A cure of 24 h stays 24 h; days are counted from two on."""
        assert shown == show_duration(Decimal(seconds))

    @given(st.decimals("0", "1e9", places=3, allow_nan=False, allow_infinity=False))
    def test_a_shown_time_is_read_back(self, seconds: Decimal) -> None:
        """Showing a time loses nothing."""
        assert seconds == duration(show_duration(seconds))

    @given(st.text(alphabet="0123456789., hmindsec-−", max_size=30))
    def test_any_text_is_a_time_or_told_to_be_none(self, text: str) -> None:
        """Nothing but a UnitFault with a sentence ever comes out of reading a time."""
        try:
            seconds = duration(text)
        except UnitFault as fault:
            assert fault.sentence
        else:
            assert seconds >= 0
