"""Stress areas of metric threads and diameters of fine ones held against ISO 898-1 and ISO 724."""

from __future__ import annotations

import pytest

from clampbook.joint.thread_names import thread_named

# ISO 898-1, coarse pitch, A_s in mm², as printed in public copies (M42 on from a handbook).
COARSE_AREAS = """
3 5.03, 3.5 6.78, 4 8.78, 5 14.2, 6 20.1, 7 28.9, 8 36.6, 10 58.0, 12 84.3, 14 115, 16 157, 18 192, 20 245, 22 303,
24 353, 27 459, 30 561, 33 694, 36 817, 39 976, 42 1120.9, 48 1473.2, 56 2030.0, 64 2676.0
"""
# Fine threads: d2, d3, D1 in mm and A_s in mm² as printed in public copies, the areas of M18 and M20 from memory.
FINE = """
8x1 7.350 6.773 6.917 39.2, 10x1.25 9.188 8.466 8.647 61.2, 10x1 9.350 8.773 8.917 64.5,
12x1.5 11.026 10.160 10.376 88.1, 12x1.25 11.188 10.466 10.647 92.1, 14x1.5 13.026 12.160 12.376 125,
16x1.5 15.026 14.160 14.376 167, 18x2 16.701 15.546 15.835, 18x1.5 17.026 16.160 16.376 216,
20x2 18.701 17.546 17.835, 20x1.5 19.026 18.160 18.376 272, 22x2 20.701 19.546 19.835
"""
FINE_AREAS_FROM_MEMORY = "22x1.5 333, 24x2 384"
# Core diameters alone, to two places, from a public copy of DIN 13.
CORES = "6x0.75 5.08, 8x1 6.77, 12x1 10.77, 20x1.5 18.16, 24x2 21.55, 24x1.5 22.16, 30x2 27.55, 36x2 33.55"


def _rows(table: str) -> list[list[str]]:
    return [row.split() for row in table.split(",")]


def _place(printed: str) -> float:
    return 10.0 ** -len(printed.partition(".")[2])


@pytest.mark.parametrize(
    ("size", "area"), [row for table in (COARSE_AREAS, FINE_AREAS_FROM_MEMORY) for row in _rows(table)]
)
def test_metric_threads_have_the_stress_areas_of_the_standard(size: str, area: str) -> None:
    """Areas are printed to three figures or four (816.72 for 817 of the standard)."""
    assert float(area) == pytest.approx(thread_named(f"M{size}").stress_area * 1e6, abs=0.52 * _place(area))


@pytest.mark.parametrize("row", _rows(FINE), ids=lambda row: f"M{row[0]}")
def test_fine_threads_have_the_diameters_and_areas_of_the_standards(row: list[str]) -> None:
    """Diameters are printed to a micrometre, areas to three figures (272 is printed for 271.5)."""
    size, d2, d3, inner, *area = row
    thread = thread_named(f"M{size}")
    found = (thread.pitch_diameter, thread.minor_diameter, thread.nut_minor_diameter)

    assert [float(each) for each in (d2, d3, inner)] == pytest.approx([each * 1e3 for each in found], abs=0.0006)
    assert all(float(each) == pytest.approx(thread.stress_area * 1e6, abs=0.52 * _place(each)) for each in area)


@pytest.mark.parametrize(("size", "core"), _rows(CORES))
def test_the_core_of_a_fine_thread(size: str, core: str) -> None:
    """d3 is what is left below the rounded root."""
    assert float(core) == pytest.approx(thread_named(f"M{size}").minor_diameter * 1e3, abs=0.0055)


def test_the_worked_thread_of_a_textbook_problem() -> None:
    """7/16-14: d_m 0.3911 in, lead 0.0714 in (Shigley 9th ed., solution of problem 8-7)."""
    thread = thread_named("7/16-14")

    assert 0.3911 == pytest.approx(thread.pitch_diameter / 0.0254, abs=0.00006)
    assert 0.0714 == pytest.approx(thread.pitch / 0.0254, abs=0.00005)
