"""Uncertainty and conformity held against JCGM 100 and JCGM 106, and against scipy as a second reckoner."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from clampbook.statistical import combined, of_step, rectangular, student, triangular
from clampbook.tools.uncertainty import guarded, probability_within

# JCGM 106:2012, clause 7: a Zener voltage with an upper limit, a burst pressure with a lower one, the viscosity of an
# oil between two. Inputs from memory; printed results 0.92, 0.99 and 0.66.
CONFORMITY = [
    pytest.param(-5.47, (None, -5.40), 0.05, 0.92, 0.91924, id="zener"),
    pytest.param(509.7, (490.0, None), 8.6, 0.99, 0.98901, id="burst pressure"),
    pytest.param(13.6, (12.5, 16.3), 1.8, 0.66, 0.66263, id="oil"),
]


@pytest.mark.parametrize(("value", "window", "u", "printed", "exact"), CONFORMITY)
def test_the_worked_examples_of_conformity_come_out_as_printed(
    value: float, window: tuple[float | None, float | None], u: float, printed: float, exact: float
) -> None:
    """The printed figure has two places; the longer one was worked out with scipy."""
    found = probability_within(value, window, u)

    assert printed == round(found, 2)
    assert pytest.approx(exact, abs=1.5e-5) == found


@pytest.mark.parametrize(("probability", "z"), [(0.80, 0.84), (0.90, 1.28), (0.95, 1.64), (0.99, 2.33), (0.999, 3.09)])
def test_one_sided_probabilities_belong_to_their_number_of_standard_uncertainties(probability: float, z: float) -> None:
    """JCGM 106:2012, Table 1, to two places, from memory."""
    assert pytest.approx(probability, abs=2e-3) == probability_within(0.0, (None, z), 1.0)


def test_a_reading_at_the_guarded_limit_lies_within_with_97_7_percent() -> None:
    """JCGM 106:2012, 8.3.2: a guard band of U = 2u with one limit, Φ(2) = 0.97725."""
    limits = guarded((None, 4.0), 0.5)

    assert limits == (None, 3.0)
    assert pytest.approx(0.97725, abs=1e-5) == probability_within(3.0, (None, 4.0), 0.5)


def test_a_window_narrower_than_its_guard_bands_accepts_nothing() -> None:
    """Two bands of 1 leave nothing of a window of 1.5."""
    assert guarded((10.0, 11.5), 0.5) is None


def test_limits_steps_and_triangles_become_standard_uncertainties() -> None:
    """JCGM 100:2008: 4.3.7 (0.40e-6 gives 0.23e-6), F.2.2.1 (0.29 of a step), 4.3.9 (a/√6)."""
    assert 0.23e-6 == round(rectangular(0.40e-6), 8)
    assert 0.29 == round(of_step(1.0), 2)
    assert pytest.approx(0.408248, abs=1e-6) == triangular(1.0)


def test_independent_parts_combine_by_the_root_of_their_squares() -> None:
    """JCGM 100:2008, 5.1.2: 3 and 4 make 5."""
    assert 5.0 == combined(3.0, 4.0)


@pytest.mark.parametrize("readings", [4, 5, 10, 100])
def test_a_few_readings_widen_their_scatter_like_students_distribution(readings: int) -> None:
    """The standard deviation of t with n - 1 degrees of freedom, from scipy; JCGM 101:2008, 6.4.9.4."""
    assert pytest.approx(float(stats.t(readings - 1).std())) == student(readings)


@settings(max_examples=200, deadline=None)
@given(
    value=st.floats(-100, 100),
    low=st.floats(-50, 0),
    wide=st.floats(0.01, 50),
    u=st.floats(1e-3, 50),
)
def test_probabilities_agree_with_a_second_reckoner(value: float, low: float, wide: float, u: float) -> None:
    """scipy's normal distribution over the same window."""
    law = stats.norm(value, u)

    assert math.isclose(
        float(law.cdf(low + wide) - law.cdf(low)), probability_within(value, (low, low + wide), u), abs_tol=1e-12
    )
