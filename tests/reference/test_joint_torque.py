"""Torque and preload held against textbooks, VDI 2230 and NASA, and against scipy where a ring is integrated."""

from __future__ import annotations

import math

import pytest
from scipy import integrate

from clampbook.joint.band import by_nut_factor, plus_minus, statistical, worst_case
from clampbook.joint.bearing import Bearing, bearing_of
from clampbook.joint.strength import strength_named
from clampbook.joint.thread_names import thread_named
from clampbook.joint.threads import Thread
from clampbook.joint.tightening import Bolt, preload_at_yield
from clampbook.joint.torque import Friction, NutFactor, nut_factor, preload_of, thread_arm, torque_of, total_friction

LBF, INCH = 4.4482216152605, 0.0254
LBF_IN = LBF * INCH

# VDI 2230 Part 1:2003, Table A1: preload in kN and torque in N·m at 90 % of yield for M8, M10, M12 with hexagon heads,
# the same friction in thread and under the head. All from memory.
VDI_A1 = [
    ("M8", 0.10, "8.8", 19.1, 21.6),
    ("M8", 0.10, "10.9", 28.0, 31.8),
    ("M8", 0.12, "8.8", 18.6, 24.6),
    ("M8", 0.12, "10.9", 27.3, 36.1),
    ("M8", 0.14, "8.8", 18.1, 27.3),
    ("M8", 0.14, "10.9", 26.6, 40.1),
    ("M10", 0.10, "8.8", 30.3, 43),
    ("M10", 0.10, "10.9", 44.5, 63),
    ("M10", 0.12, "8.8", 29.6, 48),
    ("M10", 0.12, "10.9", 43.4, 71),
    ("M10", 0.14, "8.8", 28.8, 54),
    ("M10", 0.14, "10.9", 42.2, 79),
    ("M12", 0.10, "8.8", 44.1, 73),
    ("M12", 0.10, "10.9", 64.8, 108),
    ("M12", 0.12, "8.8", 43.0, 84),
    ("M12", 0.12, "10.9", 63.2, 123),
    ("M12", 0.14, "8.8", 41.9, 93),
    ("M12", 0.14, "10.9", 61.5, 137),
]
# Tables A2 and A3 of the 2001 edition, fine threads, as quoted in a trade copy that was read; one friction a row.
VDI_FINE = [
    ("M8x1", 0.10, "8.8", 20.7, 22.8),
    ("M8x1", 0.12, "8.8", 20.2, 26.1),
    ("M8x1", 0.14, "8.8", 19.7, 29.2),
    ("M10x1.25", 0.10, "10.9", 47.5, 65),
    ("M10x1.25", 0.12, "10.9", 46.4, 75),
    ("M10x1.25", 0.14, "10.9", 45.2, 83),
    ("M12x1.25", 0.10, "8.8", 49.1, 79),
    ("M12x1.25", 0.12, "8.8", 48.0, 90),
    ("M12x1.25", 0.14, "8.8", 46.8, 101),
]
VDI = VDI_A1 + VDI_FINE


@pytest.mark.parametrize(("name", "mu", "class_", "kilonewtons", "torque"), VDI)
def test_preload_and_torque_at_nine_tenths_of_yield(
    name: str, mu: float, class_: str, kilonewtons: float, torque: float
) -> None:
    """Preloads to the tenth (and 0.4 %: the table shortens the tangent to 1.155 μ), torques likewise."""
    thread = thread_named(name)
    law = Friction(mu, mu, bearing_of(thread))
    bolt = Bolt(thread, strength_named(class_, thread.diameter))
    found = preload_at_yield(bolt, law, 0.9)

    assert kilonewtons * 1e3 == pytest.approx(found, abs=0.05e3 + 0.004 * found)
    place = 0.05 if torque < 42 else 0.5
    assert torque == pytest.approx(torque_of(found, thread, law), abs=place + 0.006 * torque)


@pytest.mark.parametrize(("mu", "factor"), [(0.10, 0.140), (0.12, 0.164), (0.14, 0.187)])
def test_friction_and_the_nut_factor_that_stands_for_it(mu: float, factor: float) -> None:
    """M10: K that the table of VDI 2230 implies (torque over preload and diameter), to 1 %."""
    thread = thread_named("M10")

    assert factor == pytest.approx(nut_factor(thread, Friction(mu, mu, bearing_of(thread))), rel=0.01)


# Shigley, Mechanical Engineering Design, 9th ed., Example 8-3: 3/4-16, 25 kip, K 0.2 and f = f_c = 0.15. (b) and (c)
# from memory. The book's d_m is (d + d_r)/2 = 0.7094 in, and its collar 1.25 d.
def test_textbook_torque_by_nut_factor() -> None:
    """(b): 0.2 · 25 000 lbf · 0.75 in = 3 750 lbf·in."""
    thread = thread_named("3/4-16")

    assert 3750 == pytest.approx(torque_of(25_000 * LBF, thread, NutFactor(0.2)) / LBF_IN)


def test_textbook_torque_by_the_long_form() -> None:
    """(c): 3 551 lbf·in, with the book's own mean diameter, which a pitch of 1/16 in has with d = 0.75000 in here."""
    mean = (0.75 + 0.6688) / 2 * INCH
    as_in_the_book = Thread("3/4-16 of the book", mean + 0.649519 * INCH / 16, INCH / 16, "unified")
    law = Friction(0.15, 0.15, Bearing(1.5 * 0.75 * INCH, 0.75 * INCH))

    assert 3551 == pytest.approx(torque_of(25_000 * LBF, as_in_the_book, law) / LBF_IN, abs=1)
    assert 3551 == pytest.approx(torque_of(25_000 * LBF, thread_named("3/4-16"), law) / LBF_IN, rel=0.004)


def test_torque_in_the_thread_of_a_textbook_problem() -> None:
    """7/16-14, f 0.075: T = 0.02845 F in inches (Shigley 9th ed., solution of problem 8-7; sec α 1.155)."""
    assert 0.02845 == pytest.approx(thread_arm(thread_named("7/16-14"), 0.075) / INCH, abs=0.00001)


@pytest.mark.parametrize(("factor", "torque"), [(0.30, 72.7), (0.25, 60.6), (0.20, 48.5), (0.15, 36.3), (0.10, 24.2)])
def test_the_same_clamp_load_at_five_nut_factors(factor: float, torque: float) -> None:
    """1 275 lb in a 0.190 in screw (Mechanical Fastening, Joining, and Assembly, p. 85): lbf·in, cut to a tenth."""
    assert torque == pytest.approx(torque_of(1275 * LBF, thread_named("10-32"), NutFactor(factor)) / LBF_IN, abs=0.1)


def test_total_friction_of_a_measured_pair() -> None:
    """ISO 16047: M10, 48 N·m, 29.6 kN, D_b 12.8 mm give 0.1191 (formula from memory, worked out by hand)."""
    ring = Bearing(0.0146, 0.011)

    assert 0.1191 == pytest.approx(total_friction(48, 29_600, thread_named("M10"), ring), abs=0.0001)


def test_evenly_pressed_rings_rub_where_the_integral_says() -> None:
    """∫ r · 2πr dr over ∫ 2πr dr, by quadrature."""
    ring = Bearing(0.01463, 0.011)
    moment, _ = integrate.quad(lambda r: r * 2 * math.pi * r, 0.0055, 0.007315)
    area, _ = integrate.quad(lambda r: 2 * math.pi * r, 0.0055, 0.007315)

    assert 2 * moment / area == pytest.approx(ring.at_even_pressure, rel=1e-9)


# VDI 2230 Part 1:2003, Table A8 and its reading: α_A of 1.4, 1.6, 2.5, 4 are ± 16.7, 23.1, 42.9, 60 %.
@pytest.mark.parametrize(("factor", "percent"), [(1.4, 16.7), (1.6, 23.1), (2.5, 42.9), (4.0, 60.0)])
def test_a_tightening_factor_is_a_spread(factor: float, percent: float) -> None:
    """α_A = (1 + s)/(1 - s): ± 60 % is as good as a factor of 4."""
    assert factor == pytest.approx(plus_minus(1.0, percent / 100).tightening_factor or 0, rel=0.003)


def test_a_good_tool_hardly_helps_against_scattered_friction() -> None:
    """Beside ± 30 % of friction, ± 4 % of the tool widens the band by some 2 % of itself (common practice)."""
    thread, laws = thread_named("M10"), by_nut_factor(0.14, 0.26)
    with_tool = statistical(plus_minus(40.0, 0.08), thread, laws, tool=0.04)
    without = statistical(plus_minus(40.0, 0.08), thread, laws)

    assert (with_tool.high - with_tool.low) / (without.high - without.low) == pytest.approx(1.0, abs=0.03)


# AC 43.13-1B, par. 7-40: the prevailing torque is added to what is wanted, so it is no clamp load.
def test_prevailing_torque_clamps_nothing() -> None:
    """3/8-24: 174 lbf·in with 14 lbf·in of drag clamp as much as 160 without."""
    thread, law = thread_named("3/8-24"), NutFactor(0.2)

    assert preload_of(160 * LBF_IN, thread, law) == pytest.approx(preload_of(174 * LBF_IN, thread, law, 14 * LBF_IN))


def test_the_worst_case_takes_every_end() -> None:
    """M12 at 80 N·m ± 5 %, K 0.16 to 0.20: 80·0.95/(0.20·12 mm) to 80·1.05/(0.16·12 mm)."""
    found = worst_case(plus_minus(80.0, 0.05), thread_named("M12"), by_nut_factor(0.16, 0.20))

    assert [76 / 0.0024, 80 / 0.00216, 84 / 0.00192] == pytest.approx([found.low, found.likely, found.high])
