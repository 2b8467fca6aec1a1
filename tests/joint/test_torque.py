"""Torque and preload, both ways, and the bands between them."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from clampbook.joint.band import (
    Band,
    by_friction,
    by_nut_factor,
    plus_minus,
    statistical,
    worst_case,
)
from clampbook.joint.bearing import Bearing, bearing_of
from clampbook.joint.strength import strength_named
from clampbook.joint.thread_names import thread_named
from clampbook.joint.threads import Thread
from clampbook.joint.tightening import Bolt, combined_stress, preload_at_yield, share_of_yield
from clampbook.joint.torque import (
    Friction,
    Law,
    NutFactor,
    even_friction,
    nut_factor,
    preload_of,
    thread_arm,
    torque_of,
    total_friction,
)
from clampbook.joint.unknown import JointFault

THREADS = [thread_named(name) for name in ("M6", "M10x1.25", "M24", "3/8-24", "1-8", "10-32")]
threads = st.sampled_from(THREADS)
coefficients = st.floats(0.04, 0.4)


@st.composite
def laws(draw: st.DrawFn) -> Law:
    """A nut factor or a pair of frictions."""
    if draw(st.booleans()):
        return NutFactor(draw(st.floats(0.05, 0.5)))
    return Friction(draw(coefficients), draw(coefficients), Bearing(0.02, 0.01))


@given(threads, laws(), st.floats(0, 5000), st.floats(0, 50))
@settings(max_examples=150, deadline=None)
def test_torque_to_preload_and_back_is_the_same_torque(
    thread: Thread, law: Law, clamping: float, prevailing: float
) -> None:
    """Whatever the law, and with a prevailing torque on top."""
    torque = clamping + prevailing

    preload = preload_of(torque, thread, law, prevailing)
    assert torque == pytest.approx(torque_of(preload, thread, law, prevailing), rel=1e-9, abs=1e-9)


def test_a_torque_below_the_prevailing_one_clamps_nothing() -> None:
    """A locking nut that takes 8 N·m is not tight at 5."""
    assert 0.0 == preload_of(5.0, THREADS[0], NutFactor(0.2), prevailing=8.0)


@given(threads, coefficients)
@settings(max_examples=100, deadline=None)
def test_one_friction_and_its_nut_factor_belong_together(thread: Thread, mu: float) -> None:
    """The friction that a nut factor stands for makes that nut factor again."""
    ring = bearing_of(thread)
    factor = nut_factor(thread, Friction(mu, mu, ring))

    assert mu == pytest.approx(even_friction(thread, NutFactor(min(1.0, factor)), ring), rel=1e-6)


def test_a_nut_factor_below_what_the_pitch_takes_means_no_friction() -> None:
    """K = 0.02 is less than P/(2π d)."""
    assert 0.0 == even_friction(thread_named("M10"), NutFactor(0.02))


def test_total_friction_lies_between_the_two() -> None:
    """0.10 in the thread and 0.16 under the head are some 0.13 together."""
    thread = thread_named("M10")
    law = Friction(0.10, 0.16, bearing_of(thread))

    assert 0.10 < total_friction(torque_of(20e3, thread, law), 20e3, thread, law.bearing) < 0.16


@pytest.mark.parametrize("value", [0.0, -0.1, 1.2])
def test_friction_lies_between_nothing_and_one(value: float) -> None:
    """12 for 0.12 is a slip that is told."""
    with pytest.raises(JointFault):
        NutFactor(value)
    with pytest.raises(JointFault):
        Friction(value, 0.1, Bearing(0.02, 0.01))


@pytest.mark.parametrize("torque", [-1.0, float("nan"), float("inf")])
def test_a_torque_is_a_number_from_zero_on(torque: float) -> None:
    """Neither below zero, nor without end, nor no number."""
    with pytest.raises(JointFault):
        preload_of(torque, THREADS[0], NutFactor(0.2))


def test_a_hole_is_smaller_than_the_face_around_it() -> None:
    """Diameters given the wrong way about are told."""
    with pytest.raises(JointFault, match="hole"):
        Bearing(0.011, 0.016)


def test_a_size_without_a_standard_face_takes_a_mean_of_one_and_a_quarter_diameters() -> None:
    """As the textbook does for the collar of inch bolts; the source says so."""
    thread = thread_named("3/4-16")

    assert 1.25 * thread.diameter == pytest.approx(bearing_of(thread).mean)
    assert "1.25 d" in bearing_of(thread).source


def test_twist_brings_yield_nearer() -> None:
    """At its yield preload a bolt uses all of its yield strength, and about four fifths of it by tension alone."""
    thread = thread_named("M10")
    bolt, law = Bolt(thread, strength_named("10.9", 0.010)), Friction(0.12, 0.12, bearing_of(thread))
    found = preload_at_yield(bolt, law)

    assert 1.0 == pytest.approx(share_of_yield(found, bolt, law))
    assert bolt.strength.yield_ == pytest.approx(combined_stress(found, bolt, law))
    assert 0.75 < found / bolt.yield_load < 0.9


@given(
    threads,
    st.floats(5, 500),
    st.floats(0, 0.2),
    st.floats(0, 0.1),
    st.tuples(coefficients, coefficients),
    st.booleans(),
)
@settings(max_examples=150, deadline=None)
def test_the_statistical_band_lies_inside_the_worst_case(
    thread: Thread, torque: float, window: float, tool: float, pair: tuple[float, float], long_form: bool
) -> None:
    """Errors that partly cancel never reach further than errors that all go one way; both have the same middle."""
    low, high = sorted(pair)
    like = Friction(0.1, 0.1, bearing_of(thread))
    given_laws = by_friction((low, high), (low, high), like) if long_form else by_nut_factor(low, high)
    pull = plus_minus(torque, window)

    outer = worst_case(pull, thread, given_laws, tool)
    inner = statistical(pull, thread, given_laws, tool)
    assert outer.low <= inner.low <= inner.likely == outer.likely <= inner.high <= outer.high


def test_exact_torque_and_friction_leave_no_band() -> None:
    """One figure is all three."""
    found = statistical(plus_minus(40.0), THREADS[0], by_nut_factor(0.2))

    assert found.low == pytest.approx(found.likely) == pytest.approx(found.high)


@pytest.mark.parametrize("band", [(3, 2, 4), (-1, 2, 3), (1, 2, float("inf"))])
def test_a_band_stands_in_order(band: tuple[float, float, float]) -> None:
    """Lowest first, highest last, nothing below zero."""
    with pytest.raises(JointFault, match="band"):
        Band(*band)


def test_frictions_the_wrong_way_about_are_told() -> None:
    """The lower one comes first."""
    with pytest.raises(JointFault, match="lower one comes first"):
        by_nut_factor(0.20, 0.16)


def test_a_thread_too_rough_to_be_turned_is_told() -> None:
    """A coarse screw at a friction of 1 with steep flanks does not go round at all."""
    steep = thread_named("M1x0.3")

    assert thread_arm(steep, 0.2) > 0
    with pytest.raises(JointFault, match="cannot be turned"):
        thread_arm(steep, 1.0, flank_angle=3.1)
