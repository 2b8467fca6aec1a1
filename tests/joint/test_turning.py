"""Turn, stretch and stiffness: what an angle does, and where the bolt begins to yield."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from clampbook.joint.bearing import Bearing, Into, bearing_of
from clampbook.joint.bolt_stiffness import Shank, bolt_resilience
from clampbook.joint.clamped_stiffness import Layer, clamped_resilience
from clampbook.joint.materials import modulus_of
from clampbook.joint.strength import strength_named
from clampbook.joint.stretch import preload_of_stretch, stretch_of_preload
from clampbook.joint.thread_names import thread_named
from clampbook.joint.tightening import Bolt, preload_at_yield
from clampbook.joint.torque import Friction, preload_of
from clampbook.joint.turning import Springs, angle_for, rise_by, turned
from clampbook.joint.unknown import JointFault

M10 = thread_named("M10x1.25")
STEEL = modulus_of("steel")


def joint(grip: float = 0.072) -> Springs:
    """A head bolt in a block of cast iron through an aluminium head."""
    bolt = bolt_resilience(M10, grip, Shank(grip / 2), into="tapped hole", counterpart=modulus_of("cast iron"))
    layers = [Layer(grip, modulus_of("aluminium"))]
    return Springs(bolt, clamped_resilience(layers, bearing_of(M10), 0.03, "tapped hole"))


@given(st.floats(0, 100e3), st.floats(1e-10, 1e-8), st.floats(0, 1e-8))
@settings(max_examples=100, deadline=None)
def test_angle_and_rise_are_inverses(rise: float, bolt: float, clamped: float) -> None:
    """The turn that raises the preload raises it by just that."""
    springs = Springs(bolt, clamped)

    assert rise == pytest.approx(rise_by(angle_for(rise, M10, springs), M10, springs), abs=1e-6)


@given(st.floats(0, 100e3), st.floats(1e-10, 1e-8))
@settings(max_examples=100, deadline=None)
def test_stretch_and_preload_are_inverses(preload: float, bolt: float) -> None:
    """A measured stretch means the preload that makes it."""
    assert preload == pytest.approx(preload_of_stretch(stretch_of_preload(preload, bolt), bolt), abs=1e-6)


def test_torque_plus_ninety_degrees_goes_beyond_yield_on_a_short_grip() -> None:
    """The elastic line crosses yield before 90°; from there on the preload stays level."""
    law = Friction(0.12, 0.12, bearing_of(M10))
    bolt = Bolt(M10, strength_named("10.9", M10.diameter))
    at_yield = preload_at_yield(bolt, law)
    snug = preload_of(30.0, M10, law)

    found = turned(snug, math.radians(90), M10, joint(0.030), at_yield)
    assert found.yields
    assert 0 < found.yields_at < math.radians(90)
    assert at_yield == found.preload < found.elastic


def test_a_long_grip_takes_the_same_turn_elastically() -> None:
    """The longer the bolt, the more of a turn it takes to load it."""
    snug, at_yield = 18e3, 45e3

    short, long = (turned(snug, math.radians(30), M10, joint(grip), at_yield) for grip in (0.04, 0.16))
    assert short.preload > long.preload
    assert not long.yields
    assert long.preload == long.elastic


def test_a_bolt_that_yielded_before_the_turn_yields_at_once() -> None:
    """Nothing is left of the elastic part."""
    found = turned(50e3, math.radians(10), M10, joint(), 45e3)

    assert 0 == found.yields_at
    assert 50e3 == found.preload


def test_a_thinner_shank_stretches_more() -> None:
    """A waisted bolt gives more for each newton than one with a full shank."""
    full = bolt_resilience(M10, 0.072, Shank(0.05))

    assert full < bolt_resilience(M10, 0.072, Shank(0.05, 0.0075))


def test_a_tapped_hole_holds_stiffer_than_a_nut_of_the_same_metal() -> None:
    """0.33 d against 0.4 d of the counterpart; a socket head is stiffer than a hexagon too."""
    nut = bolt_resilience(M10, 0.05)

    assert nut > bolt_resilience(M10, 0.05, into="tapped hole")
    assert nut > bolt_resilience(M10, 0.05, head="socket")


@given(st.lists(st.floats(0.001, 0.03), min_size=1, max_size=5), st.floats(0.0147, 0.1), st.booleans())
@settings(max_examples=100, deadline=None)
def test_cutting_a_part_into_layers_of_the_same_metal_changes_nothing(
    thicknesses: list[float], outer: float, nut: bool
) -> None:
    """Layers are only there for what differs between them."""
    into: Into = "nut" if nut else "tapped hole"
    ring = Bearing(0.01463, 0.011)
    whole = clamped_resilience([Layer(sum(thicknesses), STEEL)], ring, outer, into)

    assert whole == pytest.approx(clamped_resilience([Layer(t, STEEL) for t in thicknesses], ring, outer, into))


def test_soft_parts_give_more_than_stiff_ones() -> None:
    """Aluminium instead of steel: three times as much, and wider parts give less."""
    ring = bearing_of(M10)

    def give(material: str, outer: float) -> float:
        return clamped_resilience([Layer(0.04, modulus_of(material))], ring, outer)

    assert STEEL / modulus_of("aluminium") == pytest.approx(give("aluminium", 0.03) / give("steel", 0.03))
    assert give("steel", 0.05) < give("steel", 0.02)


def test_an_unknown_material_is_told_with_the_nearest_known_ones() -> None:
    """Cast steel is none of them; aluminum is."""
    assert modulus_of("aluminium") == modulus_of("Aluminum")
    with pytest.raises(JointFault, match="steel"):
        modulus_of("cast steel")


def test_impossible_figures_are_told() -> None:
    """A shank longer than the grip, nothing clamped, parts narrower than the hole, a turn below zero."""
    for refused in (
        lambda: bolt_resilience(M10, 0.05, Shank(0.06)),
        lambda: clamped_resilience([], bearing_of(M10), 0.03),
        lambda: clamped_resilience([Layer(0.01, STEEL)], bearing_of(M10), 0.010),
        lambda: rise_by(-0.1, M10, joint()),
        lambda: angle_for(-1.0, M10, joint()),
        lambda: preload_of_stretch(-1e-6, 1e-9),
        lambda: Layer(0.0, STEEL),
        lambda: turned(1.0, 1.0, M10, joint(), 0.0),
    ):
        with pytest.raises(JointFault, match=r"\.$"):
            refused()
