"""The interval of a difference held against published values, an independent library, and readings drawn at random."""

import random
from decimal import Decimal
from math import sqrt

import pytest
from scipy import stats

from clampbook.statistical import Difference, Sample, difference, sample
from clampbook.students_t import t_factor

# JCGM 100:2008, table G.2, the column of 95 %: degrees of freedom and factor, from memory.
TABLE_G2 = [
    (1, "12.71"), (2, "4.30"), (3, "3.18"), (4, "2.78"), (5, "2.57"), (6, "2.45"), (7, "2.36"), (8, "2.31"),
    (9, "2.26"), (10, "2.23"), (15, "2.13"), (20, "2.09"), (30, "2.04"), (50, "2.01"), (100, "1.984"),
]  # fmt: skip
# Scatter of the second technique beside that of the first, and the readings of each.
WAYS = [(1.0, 5, 5), (3.0, 5, 5), (1.0, 5, 10), (4.0, 10, 5)]


def of(values: list[float]) -> Sample:
    """Figures of these values."""
    found = sample([Decimal(repr(value)) for value in values])
    assert found is not None
    return found


@pytest.mark.parametrize(("freedom", "factor"), TABLE_G2)
def test_the_factor_is_that_of_the_published_table(freedom: int, factor: str) -> None:
    """To the digits that are printed."""
    assert factor == f"{t_factor(freedom):.{len(factor.split('.')[1])}f}"


@pytest.mark.parametrize("freedom", [1, 1.01, 1.5, 2, 2.7, 4, 5.3, 8, 17.3, 99.9, 1000, 12345.6, 9e5, 2e6])
def test_the_factor_agrees_with_an_independent_library(freedom: float) -> None:
    """Between whole degrees of freedom too, from one up to where it is that of the normal distribution."""
    assert pytest.approx(stats.t.ppf(0.975, freedom), rel=2e-6 if freedom > 1e6 else 1e-9) == t_factor(freedom)


def test_two_samples_of_unlike_scatter_have_the_published_degrees_of_freedom() -> None:
    """NIST/SEMATECH e-Handbook, 1.3.5.3, AUTO83B, miles per gallon: 249 values, mean 20.14458, deviation 6.41470,
    beside 79 with 30.48101 and 6.10771; without equal deviations t = -12.94627 at 136.8750 degrees of freedom (from
    memory; both follow from the four figures)."""
    none = Decimal(0)
    first = Sample(249, Decimal("20.14458"), Decimal("6.41470"), none, none)
    found = difference(first, Sample(79, Decimal("30.48101"), Decimal("6.10771"), none, none))

    assert found.freedom is not None and found.high is not None
    half = float(found.high - found.mean)
    assert pytest.approx(136.875, abs=2e-3) == found.freedom
    assert pytest.approx(12.94627, abs=2e-5) == float(found.mean) / (half / t_factor(found.freedom))


@pytest.mark.parametrize(("scatter", "first", "second"), WAYS)
def test_the_interval_agrees_with_an_independent_library(scatter: float, first: int, second: int) -> None:
    """Welch's, where neither scatter nor number is the same."""
    draw = random.Random(17)
    one = [draw.gauss(0.5, 1) for _ in range(first)]
    other = [draw.gauss(1.5, scatter) for _ in range(second)]
    found = difference(of(one), of(other))
    expected = stats.ttest_ind(other, one, equal_var=False).confidence_interval(0.95)

    assert found.low is not None and found.high is not None
    assert pytest.approx((expected.low, expected.high)) == (float(found.low), float(found.high))


@pytest.mark.parametrize(("scatter", "first", "second"), WAYS)
def test_the_interval_holds_the_true_difference_nineteen_times_in_twenty(
    scatter: float, first: int, second: int
) -> None:
    """Of 4000 pairs drawn at random 95 % (1.4 points are four standard deviations of that count, and Welch's interval
    is somewhat wide or narrow where few readings scatter unlike)."""
    draw = random.Random(1947)
    held = doubled = 0
    for _ in range(4000):
        one, other = drawn(draw, 1, first), drawn(draw, scatter, second)
        found = difference(one, other)
        held += holds(found)
        doubled += abs(found.mean) <= 2 * spread_of(one, other)

    assert pytest.approx(0.95, abs=0.014) == held / 4000
    assert doubled < held


def test_twice_the_standard_uncertainty_would_hold_too_few() -> None:
    """Of five readings either side ± 2 u holds the true difference some 91 times in a hundred."""
    draw = random.Random(1947)
    pairs = [(drawn(draw, 1, 5), drawn(draw, 1, 5)) for _ in range(4000)]

    share = sum(abs(two.mean - one.mean) <= 2 * spread_of(one, two) for one, two in pairs) / len(pairs)

    assert pytest.approx(0.915, abs=0.015) == share


def drawn(draw: random.Random, scatter: float, count: int) -> Sample:
    """Readings of a technique that is off by nothing."""
    values = [draw.gauss(0, scatter) for _ in range(count)]
    mean = sum(values) / count
    deviation = sqrt(sum((value - mean) ** 2 for value in values) / (count - 1))
    none = Decimal(0)
    return Sample(count, Decimal(mean), Decimal(deviation), none, none)


def spread_of(one: Sample, other: Sample) -> Decimal:
    """The standard uncertainty of the difference of two means."""
    return sum(((each.scatter or Decimal(0)) ** 2 / each.n for each in (one, other)), Decimal(0)).sqrt()


def holds(found: Difference) -> bool:
    """True where nought is in the interval."""
    return found.low is not None and found.high is not None and found.low <= 0 <= found.high


@pytest.mark.parametrize(("one", "other"), [(["1"], ["2", "3"]), (["1", "1"], ["2", "2"])])
def test_a_single_reading_or_no_scatter_at_all_gives_no_interval(one: list[str], other: list[str]) -> None:
    """Nothing there says how far readings lie apart by chance; the difference of the means stands."""
    first, second = (of([float(value) for value in each]) for each in (one, other))
    found = difference(first, second)

    assert (None, None, None) == (found.low, found.high, found.freedom)
    assert found.mean > 0


def test_readings_that_are_all_alike_are_known_to_the_step_of_their_scale() -> None:
    """Five of 1.0 and five of 1.2 from a scale in steps of 0.1: ± 1.96 √(2 · 0.1²/12) = 0.08; in steps of 0.3, 0.24."""
    one, other = of([1.0] * 5), of([1.2] * 5)
    fine, coarse = (difference(one, other, Decimal(step)) for step in ("0.1", "0.3"))

    assert fine.low is not None and coarse.low is not None
    assert pytest.approx((0.12, -0.04), abs=1e-3) == (float(fine.low), float(coarse.low))
