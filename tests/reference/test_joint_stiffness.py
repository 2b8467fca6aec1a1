"""Stiffness, angle and stretch held against textbooks, and the cones of pressure against quadrature."""

from __future__ import annotations

import math

import pytest
from scipy import integrate

from clampbook.joint.bearing import Bearing, Into
from clampbook.joint.bolt_stiffness import Segment, resilience
from clampbook.joint.clamped_stiffness import Layer, clamped_resilience, cone_resilience, cone_slope
from clampbook.joint.stretch import preload_of_stretch, stretch_of_preload
from clampbook.joint.thread_names import thread_named
from clampbook.joint.turning import Springs, angle_for, rise_by

INCH, LBF = 0.0254, 4.4482216152605
PER_INCH = LBF / INCH  # lbf/in in N/m
PSI = 6894.757293168


def test_stretch_of_a_stud() -> None:
    """7/8-9, 10 000 lb over 5 in at 30e6 psi: 0.0036 in (a public table of bolt stretching, area 0.46 in²)."""
    stud = resilience([Segment(5 * INCH, thread_named("7/8-9").stress_area)], 30e6 * PSI)

    assert 0.0036 == pytest.approx(stretch_of_preload(10_000 * LBF, stud) / INCH, abs=0.00005)
    assert 10_000 == pytest.approx(preload_of_stretch(0.0036096 * INCH, stud) / LBF, rel=0.001)


def test_stretch_of_a_bolt_with_shank_and_thread() -> None:
    """M12, 40 mm of shank and 20 mm of thread, 40 kN at 205 GPa: 0.1153 mm by F/E (L_b/A_b + L_t/A_s), by hand."""
    bolt = resilience([Segment(0.040, math.pi / 4 * 0.012**2), Segment(0.020, 84.3e-6)], 205e9)

    assert 0.1153 == pytest.approx(stretch_of_preload(40_000, bolt) * 1e3, abs=0.00005)


# Shigley, Mechanical Engineering Design, 8th ed., chapter 8, published solutions (k_b = A_d A_t E/(A_d l_t + A_t l_d);
# cones of 30° by eq. 8-20). Bolts: body and thread as (length, section), E, stiffness; problems 8-24, 8-25 and 8-22.
BOLTS = [
    ([(0.5 * INCH, 0.1963 * INCH**2), (0.72 * INCH, 0.1419 * INCH**2)], 30e6 * PSI, 3.936e6 * PER_INCH),
    ([(0.845 * INCH, 0.1419 * INCH**2)], 30e6 * PSI, 5.04e6 * PER_INCH),
    ([(0.030, 113e-6), (0.015, 84.3e-6)], 207e9, 466.8e6),
]
# Single cones: narrow end, thickness and hole in inches, E in Mpsi, stiffness in Mlbf/in; problems 8-24 and 8-25.
CONES_IN_INCHES = [
    (0.75, 0.5, 0.5, 30, 33.30),
    (1.327, 0.11, 0.5, 14.5, 173.8),
    (0.860, 0.515, 0.5, 14.5, 21.47),
    (0.75, 0.095, 0.5, 30, 97.27),
    (0.75, 0.4225, 0.5, 30, 36.14),
    (0.75, 0.25, 0.5, 14.5, 23.49),
]
# The same in mm, GPa and MN/m; problems 8-22 and 8-23 and one with M10.
CONES_IN_MILLIMETRES = [
    (18, 20, 12, 207, 4470),
    (41.09, 2.5, 12, 100, 52_230),
    (18, 22.5, 12, 100, 2074),
    (18, 13, 12, 207, 5316),
    (24.9, 7, 12, 207, 15_620),
    (18, 6, 12, 100, 3887),
    (15, 20, 10, 207, 3503),
    (38.09, 2.5, 10, 96, 44_044),
    (15, 22.5, 10, 96, 1567),
]
# All members together: layers of (thickness, E), face and hole, stiffness; problems 8-24, 8-22 and the one with M10.
JOINTS = [
    (
        [(0.5 * INCH, 30e6 * PSI), (0.625 * INCH, 14.5e6 * PSI), (0.095 * INCH, 30e6 * PSI)],
        Bearing(0.75 * INCH, 0.5 * INCH),
        10.79e6 * PER_INCH,
    ),
    ([(0.020, 207e9), (0.025, 100e9)], Bearing(0.018, 0.012), 1379e6),
    ([(0.020, 207e9), (0.025, 96e9)], Bearing(0.015, 0.010), 1057e6),
]
THIRTY = math.tan(math.radians(30))


@pytest.mark.parametrize(("pieces", "modulus", "stiffness"), BOLTS)
def test_bolts_of_textbook_joints(pieces: list[tuple[float, float]], modulus: float, stiffness: float) -> None:
    """A bolt is its body and its thread, one behind the other."""
    found = resilience([Segment(*piece) for piece in pieces], modulus)

    assert stiffness == pytest.approx(1 / found, rel=0.0005)


@pytest.mark.parametrize(("begin", "thickness", "hole", "modulus", "stiffness"), CONES_IN_INCHES)
def test_cones_of_textbook_joints_in_inches(
    begin: float, thickness: float, hole: float, modulus: float, stiffness: float
) -> None:
    """To four figures, as printed."""
    found = cone_resilience(thickness * INCH, begin * INCH, hole * INCH, THIRTY, modulus * 1e6 * PSI)

    assert stiffness == pytest.approx(1 / found / PER_INCH / 1e6, rel=0.0003)


@pytest.mark.parametrize(("begin", "thickness", "hole", "modulus", "stiffness"), CONES_IN_MILLIMETRES)
def test_cones_of_textbook_joints_in_millimetres(
    begin: float, thickness: float, hole: float, modulus: float, stiffness: float
) -> None:
    """To four figures, as printed."""
    found = cone_resilience(thickness / 1e3, begin / 1e3, hole / 1e3, THIRTY, modulus * 1e9)

    assert stiffness == pytest.approx(1 / found / 1e6, rel=0.0003)


@pytest.mark.parametrize(("layers", "face", "stiffness"), JOINTS)
def test_members_of_textbook_joints(layers: list[tuple[float, float]], face: Bearing, stiffness: float) -> None:
    """Two cones that meet in the middle of the grip, through two metals and a washer."""
    parts = [Layer(*layer) for layer in layers]

    assert stiffness == pytest.approx(1 / clamped_resilience(parts, face, 1.0, slope=THIRTY), rel=0.0005)


def test_a_cone_is_the_integral_of_its_sections() -> None:
    """∫ dz/(E A(z)), by quadrature."""
    begin, hole, slope, modulus = 0.01463, 0.011, 0.45, 205e9

    def give(depth: float) -> float:
        return 1 / (modulus * math.pi / 4 * ((begin + 2 * depth * slope) ** 2 - hole**2))

    expected, _ = integrate.quad(give, 0, 0.02)
    assert expected == pytest.approx(cone_resilience(0.02, begin, hole, slope, modulus), rel=1e-9)


@pytest.mark.parametrize("into", ["nut", "tapped hole"])
@pytest.mark.parametrize("outer", [0.012, 0.020, 0.030, 0.2])
def test_layers_of_different_metals_are_integrated_one_by_one(into: str, outer: float) -> None:
    """10 mm of steel on 25 mm of aluminium on 5 mm of steel, narrow parts and wide ones, by quadrature."""
    ring, slope = Bearing(0.01463, 0.011), 0.4
    layers = [Layer(0.010, 205e9), Layer(0.025, 70e9), Layer(0.005, 205e9)]

    def give(depth: float) -> float:
        modulus = 70e9 if 0.010 < depth < 0.035 else 205e9
        near = min(depth, 0.040 - depth) if into == "nut" else depth
        wide = min(outer, max(ring.outer, 0) + 2 * near * slope)
        return 1 / (modulus * math.pi / 4 * (wide**2 - ring.inner**2))

    corners = sorted({0.010, 0.035, 0.020, max(0, (outer - ring.outer) / (2 * slope)) % 0.04})
    corners.append(0.04 - corners[0])
    expected, _ = integrate.quad(give, 0, 0.040, points=corners, limit=400)
    found = clamped_resilience(layers, ring, outer, "nut" if into == "nut" else "tapped hole", slope)
    assert expected == pytest.approx(found, rel=1e-4)


def test_the_cone_widens_by_the_fitted_slope() -> None:
    """tan φ of VDI 2230 Part 1, eq. 5.1/26 and 5.1/27, as public programs quote them; by hand for β 3 and y 4."""
    ring = Bearing(0.015, 0.011)

    assert 0.5871 == pytest.approx(cone_slope(0.045, ring, 0.060), abs=0.0001)
    assert 0.6298 == pytest.approx(cone_slope(0.045, ring, 0.060, "tapped hole"), abs=0.0001)


# A wide part, in which the cone never ends, two in which it becomes a sleeve, and one that is a sleeve all along.
@pytest.mark.parametrize("outer", [0.2, 0.025, 0.018, 0.015])
@pytest.mark.parametrize(("into", "w"), [("nut", 1), ("tapped hole", 2)])
def test_one_metal_gives_the_closed_form(outer: float, into: Into, w: int) -> None:
    """VDI 2230 Part 1, eq. 5.1/23 to 5.1/25, as public programs quote them (w: 1 with a nut, 2 in a tapped hole)."""
    d_w, d_h, grip, modulus = 0.015, 0.011, 0.040, 205e9
    tan = cone_slope(grip, Bearing(d_w, d_h), outer, into)
    if outer >= (limit := d_w + w * grip * tan):
        cone = math.log((d_w + d_h) * (limit - d_h) / ((d_w - d_h) * (limit + d_h)))
        closed = 2 * cone / (w * modulus * math.pi * d_h * tan)
    else:
        cone = math.log((d_w + d_h) * (outer - d_h) / ((d_w - d_h) * (outer + d_h)))
        sleeve = 4 / (outer**2 - d_h**2) * (grip - (outer - d_w) / (w * tan))
        closed = (2 / (w * d_h * tan) * cone + sleeve) / (modulus * math.pi)

    assert closed == pytest.approx(clamped_resilience([Layer(grip, modulus)], Bearing(d_w, d_h), outer, into))


def test_turn_that_loads_a_textbook_joint() -> None:
    """3/4-16, k_b 6.50 and k_m 13.8 Mlbf/in (Shigley 9th ed., Example 8-3), 25 000 lbf: 32.59°, bolt alone 22.15°.

    θ = 360 (F/P)(1/K_B + 1/K_J), Bickford eq. 8.1 and 8.2 (bolt alone), with joint from memory; worked out by hand.
    """
    thread = thread_named("3/4-16")
    springs = Springs(1 / (6.50e6 * PER_INCH), 1 / (13.8e6 * PER_INCH))
    stiff = Springs(springs.bolt, 0.0)

    assert 32.59 == pytest.approx(math.degrees(angle_for(25_000 * LBF, thread, springs)), abs=0.005)
    assert 22.15 == pytest.approx(math.degrees(angle_for(25_000 * LBF, thread, stiff)), abs=0.005)
    assert 25_000 == pytest.approx(rise_by(math.radians(32.588), thread, springs) / LBF, rel=1e-4)
