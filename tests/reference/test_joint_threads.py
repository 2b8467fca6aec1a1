"""Thread geometry and stress areas held against ISO 724, ISO 898-1 and ASME B1.1."""

from __future__ import annotations

import pytest

from clampbook.joint.thread_names import thread_named

# ISO 724:1993, Table 1 (d2, D1) and ISO 898-1, Table 4 to 7 (d3 by its formula, A_s), in mm and mm². Coarse areas read
# in a published copy; fine ones up to M16 read in a trade copy, M18 to M24 from memory. The last figure is the place to
# which the area is printed.
ISO = [
    ("M6", 5.350, 4.773, 4.917, 20.1, 0.1),
    ("M8", 7.188, 6.466, 6.647, 36.6, 0.1),
    ("M10", 9.026, 8.160, 8.376, 58.0, 0.1),
    ("M12", 10.863, 9.853, 10.106, 84.3, 0.1),
    ("M14", 12.701, 11.546, 11.835, 115, 1),
    ("M16", 14.701, 13.546, 13.835, 157, 1),
    ("M18", 16.376, 14.933, 15.294, 192, 1),
    ("M20", 18.376, 16.933, 17.294, 245, 1),
    ("M22", 20.376, 18.933, 19.294, 303, 1),
    ("M24", 22.051, 20.319, 20.752, 353, 1),
    ("M8x1", 7.350, 6.773, 6.917, 39.2, 0.1),
    ("M10x1.25", 9.188, 8.466, 8.647, 61.2, 0.1),
    ("M10x1", 9.350, 8.773, 8.917, 64.5, 0.1),
    ("M12x1.5", 11.026, 10.160, 10.376, 88.1, 0.1),
    ("M12x1.25", 11.188, 10.466, 10.647, 92.1, 0.1),
    ("M14x1.5", 13.026, 12.160, 12.376, 125, 1),
    ("M16x1.5", 15.026, 14.160, 14.376, 167, 1),
    ("M18x1.5", 17.026, 16.160, 16.376, 216, 1),
    ("M20x1.5", 19.026, 18.160, 18.376, 272, 1),
    ("M22x1.5", 21.026, 20.160, 20.376, 333, 1),
    ("M24x2", 22.701, 21.546, 21.835, 384, 1),
]


@pytest.mark.parametrize(("name", "d2", "d3", "inner", "area", "place"), ISO, ids=[row[0] for row in ISO])
def test_metric_threads_have_the_diameters_and_areas_of_the_standards(
    name: str, d2: float, d3: float, inner: float, area: float, place: float
) -> None:
    """Diameters are printed to a micrometre, areas to three figures (272 is printed for 271.5)."""
    thread = thread_named(name)

    assert d2 == pytest.approx(thread.pitch_diameter * 1e3, abs=0.0006)
    assert d3 == pytest.approx(thread.minor_diameter * 1e3, abs=0.0006)
    assert inner == pytest.approx(thread.nut_minor_diameter * 1e3, abs=0.0006)
    assert area == pytest.approx(thread.stress_area * 1e6, abs=0.52 * place)


# ASME B1.1 as printed in Shigley, Mechanical Engineering Design, 9th ed., Table 8-2 (from ANSI B1.1-1974), in in².
INCH = [
    ("1/4", 0.0318, 0.0364),
    ("5/16", 0.0524, 0.0580),
    ("3/8", 0.0775, 0.0878),
    ("7/16", 0.1063, 0.1187),
    ("1/2", 0.1419, 0.1599),
    ("9/16", 0.182, 0.203),
    ("5/8", 0.226, 0.256),
    ("3/4", 0.334, 0.373),
    ("7/8", 0.462, 0.509),
    ("1", 0.606, 0.663),
]


@pytest.mark.parametrize(("size", "coarse", "fine"), INCH, ids=[row[0] for row in INCH])
def test_inch_threads_have_the_areas_of_asme_b1_1(size: str, coarse: float, fine: float) -> None:
    """Up to 1/2 in to four places, above it to three; some are cut off and not rounded (5/16-24 is 0.05807)."""
    place = 0.0001 if coarse < 0.15 else 0.001

    for series, printed in (("UNC", coarse), ("UNF", fine)):
        assert printed == pytest.approx(thread_named(f"{size} {series}").stress_area / 0.0254**2, abs=place)


def test_the_worked_thread_of_a_textbook_problem() -> None:
    """7/16-14: d_m 0.3911 in, lead 0.0714 in (Shigley 9th ed., solution of problem 8-7)."""
    thread = thread_named("7/16-14")

    assert 0.3911 == pytest.approx(thread.pitch_diameter / 0.0254, abs=0.00006)
    assert 0.0714 == pytest.approx(thread.pitch / 0.0254, abs=0.00005)
