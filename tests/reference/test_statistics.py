"""Mean and standard deviation held against published figures that naive formulas get wrong."""

from decimal import Decimal

import pytest

from clampbook.record.figures import rounded
from clampbook.statistical import sample

# Shigley, Mechanical Engineering Design, Table 8-14: preload in kN of ten lubricated bolts tightened to 90 N·m;
# mean 34.18 kN, standard deviation 2.88 kN.
PRELOADS = "30.3 32.5 32.5 32.9 32.9 33.8 34.3 34.7 37.4 40.5"

# NIST Statistical Reference Datasets, univariate summary statistics, NumAcc1 to NumAcc3: mean and standard deviation as
# published, the data as a public description of the sets gives their rule.
NUMACC = [
    pytest.param(["10000001", "10000003", "10000002"], "10000002", "1", id="NumAcc1"),
    pytest.param(["1.2"] + ["1.1", "1.3"] * 500, "1.2", "0.1", id="NumAcc2"),
    pytest.param(["1000000.2"] + ["1000000.1", "1000000.3"] * 500, "1000000.2", "0.1", id="NumAcc3"),
]


@pytest.mark.parametrize(("data", "mean", "deviation"), NUMACC)
def test_figures_are_exact_where_naive_formulas_lose_their_digits(data: list[str], mean: str, deviation: str) -> None:
    """Large offsets with small differences come out as certified, to the last digit."""
    found = sample([Decimal(each) for each in data])

    assert found is not None
    assert (len(data), Decimal(mean), Decimal(deviation)) == (found.n, found.mean, found.scatter)


def test_ten_lubricated_bolts_have_the_published_mean_and_scatter() -> None:
    """The deviation is that of a sample (n - 1); that of a population would be 2.73 kN."""
    found = sample([Decimal(each) for each in PRELOADS.split()])

    assert found is not None and found.scatter is not None
    assert Decimal("34.18") == found.mean
    assert "2.88" == rounded(found.scatter, 3)


def test_ten_lubricated_bolts_have_the_range_of_the_table() -> None:
    """Least, most and their difference are exact."""
    found = sample([Decimal(each) for each in PRELOADS.split()])

    assert found is not None
    assert (Decimal("30.3"), Decimal("40.5"), Decimal("10.2")) == (found.least, found.most, found.spread)
