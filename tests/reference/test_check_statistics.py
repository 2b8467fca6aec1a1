"""Mean and standard deviation of a check held against the certified values of NIST StRD, exact and from floats."""

from collections.abc import Sequence
from decimal import Decimal

import pytest

from clampbook.check.figures import Figures, figures

# NIST Statistical Reference Datasets, univariate summary statistics: certified mean and standard deviation as
# published. The data of NumAcc1 to NumAcc4 (they are a rule) after a public description of the sets, those of Michelso
# after public programs that copy them.
MICHELSO = """
850 740 900 1070 930 850 950 980 980 880 1000 980 930 650 760 810 1000 1000 960 960 960 940 960 940 880 800 850 880 900
840 830 790 810 880 880 830 800 790 760 800 880 880 880 860 720 720 620 860 970 950 880 910 850 870 840 840 850 840 840
840 890 810 810 820 800 770 760 740 750 760 910 920 890 860 880 720 840 850 850 780 890 840 780 810 760 810 790 810 820
850 870 870 810 740 810 940 950 800 810 870
"""  # in km/s above 299 000; the set is in thousands of km/s
CERTIFIED = [
    pytest.param(["10000001", "10000003", "10000002"], "10000002", "1", id="NumAcc1"),
    pytest.param(["1.2", *["1.1", "1.3"] * 500], "1.2", "0.1", id="NumAcc2"),
    pytest.param(["1000000.2", *["1000000.1", "1000000.3"] * 500], "1000000.2", "0.1", id="NumAcc3"),
    pytest.param(["10000000.2", *["10000000.1", "10000000.3"] * 500], "10000000.2", "0.1", id="NumAcc4"),
]


def of(values: Sequence[str | Decimal]) -> Figures:
    """The figures of values given as text."""
    found = figures([Decimal(each) for each in values])
    assert found is not None
    return found


@pytest.mark.parametrize(("data", "mean", "scatter"), CERTIFIED)
def test_numerically_hard_sets_come_out_as_certified_to_the_last_digit(
    data: list[str], mean: str, scatter: str
) -> None:
    """Small differences of large numbers keep all their digits where the readings are exact decimals."""
    found = of(data)

    assert (Decimal(mean), Decimal(scatter)) == (found.mean, found.scatter)


@pytest.mark.parametrize(("data", "mean", "scatter"), CERTIFIED)
def test_floats_lose_no_more_than_their_own_rounding(data: list[str], mean: str, scatter: str) -> None:
    """A float holds 10 000 000.1 to some nine places of the deviation; the sums add no loss of their own."""
    found = figures([Decimal(float(each)) for each in data])

    assert found is not None and found.scatter is not None
    assert pytest.approx(float(mean), rel=1e-15) == float(found.mean)
    assert pytest.approx(float(scatter), rel=1e-8) == float(found.scatter)


def test_the_speeds_of_light_of_1879_come_out_as_certified() -> None:
    """Michelso: 100 values, certified 299.8524 and 0.0790105478190518."""
    found = of([Decimal(each).scaleb(-3) + 299 for each in MICHELSO.split()])

    assert (100, Decimal("299.8524")) == (found.n, found.mean)
    assert found.scatter is not None
    assert Decimal("0.0790105478190518") == round(found.scatter, 16)


def test_ten_lubricated_bolts_have_the_published_figures() -> None:
    """Shigley, Mechanical Engineering Design, Table 8-14: mean 34.18 kN, standard deviation 2.88 kN (n - 1)."""
    found = of(["30.3", "32.5", "32.5", "32.9", "32.9", "33.8", "34.3", "34.7", "37.4", "40.5"])

    assert found.scatter is not None
    assert (Decimal("34.18"), Decimal("2.88")) == (found.mean, round(found.scatter, 2))
    assert (Decimal("10.2"), Decimal("40.5"), Decimal("10.2")) == (found.spread, found.worst, found.drift)


def test_the_worst_keeps_its_sign_and_drift_goes_from_first_to_last() -> None:
    """Of -3, 1, 2 the worst is -3; from first to last it drifted up by 5."""
    found = of(["-3", "1", "2"])

    assert (Decimal(-3), Decimal(5), Decimal(5)) == (found.worst, found.drift, found.spread)
