"""Mean, standard deviation and range of readings, and how they are written."""

from decimal import Context, Decimal, localcontext

import pytest
from hypothesis import given
from hypothesis import strategies as st

from clampbook.record.figures import figures, plain, rounded

READINGS = st.lists(st.decimals(min_value=1, max_value=500, places=2), min_size=1, max_size=30)


class TestFigures:
    """Exact decimals in, exact figures out."""

    def test_three_readings_by_hand(self) -> None:
        """29, 30 and 32: mean 91/3, squared differences 14/3 over 2."""
        found = figures([Decimal(29), Decimal(30), Decimal(32)])

        assert found is not None and found.deviation is not None
        assert ("30.3333", "1.52753") == (rounded(found.mean), rounded(found.deviation))
        assert (3, Decimal(29), Decimal(32), Decimal(3)) == (found.n, found.least, found.most, found.spread)

    def test_a_single_reading_has_no_deviation(self) -> None:
        """One reading says nothing of scatter."""
        found = figures([Decimal("30.1")])

        assert found is not None
        assert found.deviation is None

    def test_no_reading_has_no_figures(self) -> None:
        """A round of releases alone."""
        assert figures([]) is None

    @given(READINGS)
    def test_the_mean_lies_between_least_and_most(self, values: list[Decimal]) -> None:
        """Whatever was read."""
        found = figures(values)

        assert found is not None
        assert min(values) == found.least <= found.mean <= found.most == max(values)

    @given(READINGS, st.randoms())
    def test_the_order_of_the_pulls_does_not_matter(self, values: list[Decimal], chance: object) -> None:
        """The same readings in another order give the same figures."""
        shuffled = list(values)
        chance.shuffle(shuffled)  # type: ignore[attr-defined]

        assert figures(values) == figures(shuffled)

    @given(READINGS)
    def test_the_callers_precision_does_not_matter(self, values: list[Decimal]) -> None:
        """A program that works with few digits gets the same record."""
        expected = figures(values)

        with localcontext(Context(prec=3)):
            assert expected == figures(values)


class TestWritten:
    """Six digits for what is worked out, everything for what was read."""

    @pytest.mark.parametrize(
        ("value", "written"),
        [
            ("30", "30.0000"),
            ("30.00005", "30.0000"),
            ("30.00015", "30.0002"),
            ("0.0790105478", "0.0790105"),
            ("1234567.8", "1234570"),
            ("0", "0"),
            ("0E-9", "0"),
            ("999999.9", "1000000"),
        ],
    )
    def test_what_is_worked_out_has_six_significant_digits(self, value: str, written: str) -> None:
        """Half goes to the even digit, and there is never an exponent."""
        assert written == rounded(Decimal(value))

    @given(st.decimals(min_value="0.001", max_value=10**7, places=4))
    def test_rounding_moves_a_value_by_less_than_its_last_digit(self, value: Decimal) -> None:
        """Six digits are good to one part in a hundred thousand."""
        assert abs(Decimal(rounded(value)) - value) <= value / 100_000

    def test_an_exact_value_keeps_its_digits(self) -> None:
        """Trailing zeros say how finely it was read."""
        assert ("28.0", "1000000") == (plain(Decimal("28.0")), plain(Decimal("1E+6")))
