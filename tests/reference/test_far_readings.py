"""The modified z-score of readings held against an independent computation, and how often chance alone brings it."""

import random
from decimal import Decimal

import pytest
from scipy import stats

from clampbook.statistical import far_from_the_others

# Iglewicz and Hoaglin 1993, How to detect and handle outliers, as the NIST/SEMATECH e-Handbook of statistical methods,
# 1.3.5.17, gives it: M = 0.6745 (x - median) / MAD, potential outliers above 3.5. The handbook was read in public
# programs that quote it.


def places(*values: str) -> tuple[int, ...]:
    """Places of the values that lie far from the others."""
    return far_from_the_others([Decimal(value) for value in values])


def test_the_score_is_that_of_an_independent_library() -> None:
    """Over samples drawn at random, some with a value moved away."""
    draw = random.Random(1993)
    some = 0
    for _ in range(300):
        values = [round(draw.gauss(1, 1) + 4 * (draw.random() < 0.1), 3) for _ in range(draw.randint(5, 30))]
        middle, usual = float(stats.scoreatpercentile(values, 50)), float(stats.median_abs_deviation(values))
        expected = tuple(at for at, each in enumerate(values) if 0.6745 * abs(each - middle) > 3.5 * usual)
        some += bool(expected)

        assert expected == far_from_the_others([Decimal(str(value)) for value in values])
    assert some > 20


def test_the_limit_is_three_and_a_half_and_belongs_to_the_others() -> None:
    """0, 1, 2, 3 and x: median 2, MAD 1, so that x is far above 2 + 3.5/0.6745 = 7.189."""
    assert () == places("0", "1", "2", "3", "7.18")
    assert (4,) == places("0", "1", "2", "3", "7.19")
    assert (0,) == places("-3.19", "1", "2", "3", "4")


@pytest.mark.parametrize("values", [("2", "2", "2", "9", "2"), ("2", "2", "2", "2", "2"), ("1", "1", "9"), ()])
def test_without_a_usual_distance_none_is_far(values: tuple[str, ...]) -> None:
    """Where more than half are alike the score does not exist; of fewer than five nothing is said."""
    assert () == places(*values)


def test_of_five_good_readings_one_is_called_far_about_once_in_five_times() -> None:
    """Which is why none is ever left out for it: of 4000 samples some 21 % have one."""
    draw = random.Random(5)
    found = sum(bool(far_from_the_others([Decimal(repr(draw.gauss(0, 1))) for _ in range(5)])) for _ in range(4000))

    assert pytest.approx(0.21, abs=0.025) == found / 4000
