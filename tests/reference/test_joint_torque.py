"""Torque and preload held against textbooks, VDI 2230 and NASA, and against scipy where a ring is integrated."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

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

# VDI 2230 Part 1, tables of preload in kN and torque in N·m at 90 % of yield with hexagon heads, the same friction in
# thread and under the head: for 0.10, 0.12 and 0.14 the preloads, then the torques, of each class. A1 of the 2003
# edition, coarse threads: the preloads as a public program copies them (all of them in test_preload_table), the torques
# from memory.
VDI_A1 = {
    "M8": "19.1 28.0 21.6 31.8; 18.6 27.3 24.6 36.1; 18.1 26.6 27.3 40.1",
    "M10": "30.3 44.5 43 63; 29.6 43.4 48 71; 28.8 42.2 54 79",
    "M12": "44.1 64.8 73 108; 43.0 63.2 84 123; 41.9 61.5 93 137",
}
# The table of fine threads, 2001 edition, as printed in a public copy.
VDI_FINE = {
    "M8x1": "20.7 30.4 35.6 22.8 33.5 39.2; 20.2 29.7 34.7 26.1 38.3 44.9; 19.7 28.9 33.9 29.2 42.8 50.1",
    "M10x1.25": "32.4 47.5 55.6 44 65 76; 31.6 46.4 54.3 51 75 87; 30.8 45.2 52.9 57 83 98",
    "M12x1.25": "49.1 72.1 84.4 79 116 135; 48.0 70.5 82.5 90 133 155; 46.8 68.7 80.4 101 149 174",
    "M14x1.5": "66.4 97.5 114.1 124 182 213; 64.8 95.2 111.4 142 209 244; 63.2 92.9 108.7 159 234 274",
    "M16x1.5": "89.6 131.6 154.0 189 278 325; 87.6 128.7 150.6 218 320 374; 85.5 125.5 146.9 244 359 420",
    "M18x1.5": "120 171 200 283 403 472; 117 167 196 327 465 544; 115 163 191 368 523 613",
    "M20x1.5": "151 215 252 392 558 653; 148 211 246 454 646 756; 144 206 241 511 728 852",
    "M22x1.5": "186 264 309 529 754 882; 182 259 303 613 873 1022; 178 253 296 692 985 1153",
    "M24x2": "213 304 355 666 949 1110; 209 297 348 769 1095 1282; 204 290 339 865 1232 1442",
}


def _rows(table: Mapping[str, str], classes: Sequence[str]) -> list[tuple[str, float, str, str, str]]:
    """One row for each thread, friction and class: preload in kN and torque in N·m as printed."""
    found = []
    for name, printed in table.items():
        for mu, figures in zip((0.10, 0.12, 0.14), printed.split(";"), strict=True):
            preloads, torques = figures.split()[: len(classes)], figures.split()[len(classes) :]
            found += [(name, mu, *row) for row in zip(classes, preloads, torques, strict=True)]
    return found


VDI = _rows(VDI_A1, ("8.8", "10.9")) + _rows(VDI_FINE, ("8.8", "10.9", "12.9"))


def half_a_place(printed: str) -> float:
    """How far the exact figure lies from the printed one at most."""
    return 0.05 if "." in printed else 0.5


@pytest.mark.parametrize(("name", "mu", "class_", "kilonewtons", "torque"), VDI)
def test_preload_and_torque_at_nine_tenths_of_yield(
    name: str, mu: float, class_: str, kilonewtons: str, torque: str
) -> None:
    """To the printed place (and 0.4 %: the table shortens the tangent to 1.155 μ), torques likewise."""
    thread = thread_named(name)
    law = Friction(mu, mu, bearing_of(thread))
    bolt = Bolt(thread, strength_named(class_, thread.diameter))
    found = preload_at_yield(bolt, law, 0.9) / 1e3
    turned = torque_of(found * 1e3, thread, law)

    assert float(kilonewtons) == pytest.approx(found, abs=half_a_place(kilonewtons) + 0.004 * found)
    assert float(torque) == pytest.approx(turned, abs=half_a_place(torque) + 0.006 * turned)


@pytest.mark.parametrize(("name", "mu", "class_", "kilonewtons", "torque"), VDI)
def test_friction_and_the_nut_factor_that_stands_for_it(
    name: str, mu: float, class_: str, kilonewtons: str, torque: str
) -> None:
    """K is torque over preload and diameter: it lies between what the row's two figures can stand for."""
    thread = thread_named(name)
    preload, turned, d = float(kilonewtons), float(torque), thread.diameter * 1e3
    least = (turned - half_a_place(torque)) / (preload + half_a_place(kilonewtons)) / d
    most = (turned + half_a_place(torque)) / (preload - half_a_place(kilonewtons)) / d

    assert least <= nut_factor(thread, Friction(mu, mu, bearing_of(thread))) <= most, class_


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
