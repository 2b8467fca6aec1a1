"""Mean, standard deviation and range of readings, from exact decimals."""

from decimal import Context, Decimal, localcontext

from hypothesis import given
from hypothesis import strategies as st

from clampbook.record.figures import rounded
from clampbook.statistical import sample

READINGS = st.lists(st.decimals(min_value=1, max_value=500, places=2), min_size=1, max_size=30)


class TestSample:
    """Exact decimals in, exact figures out."""

    def test_three_readings_by_hand(self) -> None:
        """29, 30 and 32: mean 91/3, squared differences 14/3 over 2."""
        found = sample([Decimal(29), Decimal(30), Decimal(32)])

        assert found is not None and found.scatter is not None
        assert ("30.3333", "1.52753") == (rounded(found.mean), rounded(found.scatter))
        assert (3, Decimal(29), Decimal(32), Decimal(3)) == (found.n, found.least, found.most, found.spread)

    def test_a_single_reading_has_no_deviation(self) -> None:
        """One reading says nothing of scatter."""
        found = sample([Decimal("30.1")])

        assert found is not None
        assert found.scatter is None

    def test_no_reading_has_no_sample(self) -> None:
        """A round of clicks alone."""
        assert sample([]) is None

    @given(READINGS)
    def test_the_mean_lies_between_least_and_most(self, values: list[Decimal]) -> None:
        """Whatever was read."""
        found = sample(values)

        assert found is not None
        assert min(values) == found.least <= found.mean <= found.most == max(values)

    @given(READINGS, st.randoms())
    def test_the_order_of_the_pulls_does_not_matter(self, values: list[Decimal], chance: object) -> None:
        """The same readings in another order give the same figures."""
        shuffled = list(values)
        chance.shuffle(shuffled)  # type: ignore[attr-defined]

        assert sample(values) == sample(shuffled)

    @given(READINGS)
    def test_the_callers_precision_does_not_matter(self, values: list[Decimal]) -> None:
        """A program that works with few digits gets the same record."""
        expected = sample(values)

        with localcontext(Context(prec=3)):
            assert expected == sample(values)
