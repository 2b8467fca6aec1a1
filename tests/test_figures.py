"""How quantities and windows are written out."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from clampbook.figures import in_two_units
from clampbook.unit_table import TABLE, unparted
from clampbook.units import (
    COUNT,
    UNITS_OF,
    convert,
    inwards,
    kind_of,
    number,
    parse,
    plain,
    show,
    show_day,
    show_span,
    show_window,
    side_by_side,
)
from drawn import decimals

# A count stands without its unit.
UNITS = [unit for units in UNITS_OF.values() for unit in units if unit != COUNT]


def amounts() -> st.SearchStrategy[Decimal]:
    """Numbers above zero with up to three places."""
    return st.decimals("0.001", "100000", places=3, allow_nan=False, allow_infinity=False)


class TestShowing:
    """How a quantity is written out."""

    @pytest.mark.parametrize(
        ("value", "unit", "shown"),
        [
            ("30", "N·m", "30 N·m"),
            ("22.125", "N·m", "22.125 N·m"),
            ("29.96357665812394884", "N·m", "30.0 N·m"),
            ("22.12686447831796", "lbf·ft", "22.1 lbf·ft"),
            ("885.0745767", "lbf·in", "885 lbf·in"),
            ("1355.8179483", "N·m", "1356 N·m"),
            ("0.0070615518", "N·m", "0.00706 N·m"),
            ("91.1253456", "mm", "91.13 mm"),
            ("90", "°", "90°"),
            ("-4", "°C", "−4 °C"),
            ("30", "%", "30 %"),
            ("0", "N·m", "0 N·m"),
            ("-0", "N·m", "0 N·m"),
            ("1E+3", "N", "1000 N"),
            ("250000", "km", "250000 km"),
        ],
    )
    def test_digits_are_those_that_make_sense(self, value: str, unit: str, shown: str) -> None:
        """As typed where somebody can have typed it, else three digits and ones at the coarsest."""
        assert shown == show(Decimal(value), unit)

    @pytest.mark.parametrize(
        ("value", "resolution", "shown"),
        [
            ("22.1", "0.5", "22.0 N·m"),
            ("22.25", "0.5", "22.5 N·m"),
            ("30", "0.1", "30.0 N·m"),
            ("34", "5", "35 N·m"),
            ("-0.04", "0.1", "0.0 N·m"),
            ("1234.5", "1E+1", "1230 N·m"),
        ],
    )
    def test_a_resolution_is_that_of_the_scale(self, value: str, resolution: str, shown: str) -> None:
        """A number is shown as the scale of the tool can show it, halves upwards."""
        assert shown == show(Decimal(value), "N·m", resolution=Decimal(resolution))

    @pytest.mark.parametrize(
        ("value", "unit", "shown"),
        [
            ("30", "N·m", "30.0 N·m (22.1 lbf·ft)"),
            ("22.1", "lbf·ft", "22.1 lbf·ft (30.0 N·m)"),
            ("135", "lbf·in", "135 lbf·in (15.3 N·m)"),
            ("250", "N·m", "250 N·m (184 lbf·ft)"),
            ("90", "°", "90°"),
        ],
    )
    def test_a_torque_stands_in_both_units(self, value: str, unit: str, shown: str) -> None:
        """Both units side by side, so that nobody converts in the head."""
        assert shown == side_by_side(Decimal(value), unit)

    def test_other_units_can_be_asked_for(self) -> None:
        """Any units of the kind, in the order asked."""
        assert "8.00 N·m (70.8 lbf·in, 0.816 kgf·m)" == side_by_side(Decimal(8), "N·m", ("lbf·in", "kgf·m"))

    @pytest.mark.parametrize(
        ("value", "shown"), [("30", "30"), ("0.10", "0.10"), ("1E+2", "100"), ("1E-7", "0.0000001"), ("-0.0", "0.0")]
    )
    def test_a_number_is_written_without_an_exponent(self, value: str, shown: str) -> None:
        """And nought without a minus."""
        assert shown == plain(Decimal(value))

    @given(st.decimals(allow_nan=False, allow_infinity=False, min_value="-1e40", max_value="1e40"))
    def test_plain_digits_are_the_value(self, value: Decimal) -> None:
        """No digit is lost and no sign but the minus comes in."""
        shown = plain(value)

        assert value == Decimal(shown)
        assert set(shown) <= set("0123456789.-")

    @given(decimals(), st.sampled_from(UNITS))
    def test_showing_is_within_half_a_step_of_three_digits(self, value: Decimal, unit: str) -> None:
        """What is shown differs from the value by less than one part in two hundred."""
        shown = parse(show(value, unit)).value

        assert abs(shown - value) <= abs(value) / 200


class TestWindows:
    """Windows are shown so that whatever reads inside is inside."""

    @pytest.mark.parametrize(
        ("low", "high", "unit", "shown"),
        [
            ("28", "32", "N·m", "28.0 to 32.0 N·m"),
            ("122", None, "N·m", "at least 122 N·m"),
            (None, "95", "N·m", "at most 95.0 N·m"),
            ("90", "94", "°", "90 to 94°"),
            (None, "3", "°", "at most 3°"),
            ("0.10", "0.25", "mm", "0.10 to 0.25 mm"),
            ("52.25", "57.75", "N·m", "52.25 to 57.75 N·m"),
            ("20.651741", "23.601989", "lbf·ft", "20.7 to 23.6 lbf·ft"),
            ("240", "260", "N·m", "240 to 260 N·m"),
            ("-4", "0", "°C", "−4 to 0 °C"),
            ("30", "30", "N·m", "exactly 30.0 N·m"),
            (None, None, "N·m", "no limit"),
        ],
    )
    def test_a_window_is_shown_in_words_of_the_bench(
        self, low: str | None, high: str | None, unit: str, shown: str
    ) -> None:
        """From, to, at least, at most; both ends with the same places."""
        ends = [None if end is None else Decimal(end) for end in (low, high)]

        assert shown == show_window(ends[0], ends[1], unit)

    @pytest.mark.parametrize(
        ("window", "other", "shown"),
        [
            ("at most 62.6 lbf·ft", "at most 85.0 N·m", "at most 62.6 lbf·ft (85.0 N·m)"),
            ("at least 90.0 lbf·ft", "at least 122 N·m", "at least 90.0 lbf·ft (122 N·m)"),
            ("20.7 to 23.6 lbf·ft", "28.0 to 32.0 N·m", "20.7 to 23.6 lbf·ft (28.0 to 32.0 N·m)"),
        ],
    )
    def test_in_two_units_its_word_is_said_once(self, window: str, other: str, shown: str) -> None:
        """ "At most" holds for both."""
        assert shown == in_two_units(window, other)

    @pytest.mark.parametrize(
        ("low", "high", "unit", "shown"),
        [
            ("28", "32", "N·m", "28.0–32.0 N·m"),
            ("90", "94", "°", "90–94°"),
            ("-4", "0", "°C", "−4 to 0 °C"),
            (None, "3", "°", "at most 3°"),
        ],
    )
    def test_a_table_parts_the_ends_by_a_dash_alone(self, low: str | None, high: str, unit: str, shown: str) -> None:
        """Unless one of them has a minus, which a dash beside it would hide."""
        ends = [None if end is None else Decimal(end) for end in (low, high)]

        assert shown == show_span(ends[0], ends[1], unit)

    @pytest.mark.parametrize(
        ("low", "high", "resolution", "expected"),
        [
            ("28", "32", None, ("20.7", "23.6")),
            ("28", "32", "0.5", ("21.0", "23.5")),
            ("28", "32", "1", ("21", "23")),
            ("29.8", "30.2", None, ("21.98", "22.27")),
            ("29.99", "30.01", "1", ("22.12", "22.13")),
            ("-32", "-28", None, ("-23.6", "-20.7")),
        ],
    )
    def test_a_converted_window_is_rounded_inwards(
        self, low: str, high: str, resolution: str | None, expected: tuple[str, str]
    ) -> None:
        """The low end goes up, the high end down; where nothing would be left, finer."""
        step = None if resolution is None else Decimal(resolution)

        found = inwards(Decimal(low), Decimal(high), "N·m", "lbf·ft", step)

        assert expected == tuple(str(end) for end in found)

    def test_an_open_end_stays_open(self) -> None:
        """At least and at most are windows too."""
        assert (Decimal("90.0"), None) == inwards(Decimal(122), None, "N·m", "lbf·ft")
        assert (None, Decimal("70.0")) == inwards(None, Decimal(95), "N·m", "lbf·ft")
        assert (None, None) == inwards(None, None, "N·m", "lbf·ft")

    def test_a_window_of_a_single_value_is_not_lost(self) -> None:
        """It stays the converted value, to as many digits as there are."""
        low, high = inwards(Decimal(30), Decimal(30), "N·m", "lbf·ft")

        assert low is not None
        assert low == high
        assert abs(convert(low, "lbf·ft", "N·m") - 30) < Decimal("1e-24")

    @settings(deadline=None)  # the first far unit loads all of them
    @given(amounts(), amounts(), st.sampled_from(UNITS), st.sampled_from([None, "1", "0.5", "0.1", "0.01"]), st.data())
    def test_what_lies_in_the_rounded_window_lies_in_the_window(
        self, one: Decimal, two: Decimal, unit: str, resolution: str | None, data: st.DataObject
    ) -> None:
        """Both rounded ends, converted back, are inside; and the rounded window is never empty."""
        low, high = sorted((one, two))
        assume(high - low > low / 1000)
        other = data.draw(st.sampled_from(UNITS_OF[kind_of(unit)]))

        found = inwards(low, high, unit, other, None if resolution is None else Decimal(resolution))

        assert found[0] is not None and found[1] is not None
        assert low <= convert(found[0], other, unit) <= convert(found[1], other, unit) <= high

    @settings(deadline=None)  # the first far unit loads all of them
    @given(amounts(), amounts(), st.sampled_from(UNITS), st.data())
    def test_rounding_takes_at_most_a_fifth_of_the_window(
        self, one: Decimal, two: Decimal, unit: str, data: st.DataObject
    ) -> None:
        """Without a resolution of its own, enough digits are kept that little of the window is lost."""
        low, high = sorted((one, two))
        assume(high - low > low / 1000)
        other = data.draw(st.sampled_from(UNITS_OF[kind_of(unit)]))

        found = inwards(low, high, unit, other)

        assert found[0] is not None and found[1] is not None
        assert convert(found[1], other, unit) - convert(found[0], other, unit) >= (high - low) * Decimal("0.8")

    @given(amounts(), amounts(), st.sampled_from(UNITS))
    def test_a_shown_window_lies_in_the_window(self, one: Decimal, two: Decimal, unit: str) -> None:
        """The numbers on the screen are no wider than the numbers that judge."""
        low, high = sorted((one, two))
        assume(low < high)

        first, second = show_window(low, high, unit).split(" to ")

        assert low <= number(first) <= parse(second).value <= high


@pytest.mark.parametrize(
    ("day", "shown"), [("2026-03-02", "2 March 2026"), ("2026-12-24T10:00:00Z", "24 December 2026"), ("soon", "soon")]
)
def test_a_day_stands_in_a_sentence(day: str, shown: str) -> None:
    """With its month as a word; what is no day stays."""
    assert shown == show_day(day)


@pytest.mark.parametrize("unit", TABLE)
def test_a_number_stays_with_its_unit(unit: str) -> None:
    """In front of a word that only begins like a unit a line may end."""
    assert f"to 28.0\u00a0{unit}, 3 nuts" == unparted(f"to 28.0 {unit}, 3 nuts")
