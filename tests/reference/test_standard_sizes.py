"""Pitches and diameters of the standard sizes held against ISO 261, ISO 262, ISO 724 and ASME B1.1.

Each figure as printed in a public copy of the table; most in two or three.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from clampbook.joint.standard_sizes import COARSE_PITCH, FINE_PITCHES, SERIES
from clampbook.joint.thread_names import thread_named

# ISO 724, coarse series: size, pitch, d2, d3, D1 in mm; from M24 on the copy that was read has no D1.
COARSE = """
1 0.25 0.838 0.693 0.729, 1.1 0.25 0.938 0.793 0.829, 1.2 0.25 1.038 0.893 0.929, 1.4 0.3 1.205 1.032 1.075,
1.6 0.35 1.373 1.171 1.221, 1.8 0.35 1.573 1.371 1.421, 2 0.4 1.740 1.509 1.567, 2.2 0.45 1.908 1.648 1.713,
2.5 0.45 2.208 1.948 2.013, 3 0.5 2.675 2.387 2.459, 3.5 0.6 3.110 2.764 2.850, 4 0.7 3.545 3.141 3.242,
4.5 0.75 4.013 3.580 3.688, 5 0.8 4.480 4.019 4.134, 6 1 5.350 4.773 4.917, 7 1 6.350 5.773 5.917,
8 1.25 7.188 6.466 6.647, 9 1.25 8.188 7.466 7.647, 10 1.5 9.026 8.160 8.376, 11 1.5 10.026 9.160 9.376,
12 1.75 10.863 9.853 10.106, 14 2 12.701 11.546 11.835, 16 2 14.701 13.546 13.835, 18 2.5 16.376 14.933 15.294,
20 2.5 18.376 16.933 17.294, 22 2.5 20.376 18.933 19.294, 24 3 22.051 20.319, 27 3 25.051 23.319,
30 3.5 27.727 25.706, 33 3.5 30.727 28.706, 36 4 33.402 31.092
"""
# ISO 262: the coarse pitches above M36, which the copies of ISO 724 leave out.
LARGE = {39: 4, 42: 4.5, 45: 4.5, 48: 5, 52: 5, 56: 5.5, 60: 5.5, 64: 6}
# ISO 262, fine series; M6 and M7 have none there, and 0.75 in ISO 261.
FINE = {6: (0.75,), 7: (0.75,), 8: (1,), 10: (1.25, 1), 12: (1.5, 1.25), 14: (1.5,), 16: (1.5,)}
FINE |= {18: (2, 1.5), 20: (2, 1.5), 22: (2, 1.5), 24: (2,), 27: (2,), 30: (2,), 33: (2,), 36: (3,), 39: (3,)}
FINE |= {42: (3,), 45: (3,), 48: (3,), 52: (4,), 56: (4,), 60: (4,), 64: (4,)}
# ASME B1.1: size, threads per inch, stress area in in². 5-44 has 0.0083 in two copies and 0.00880 in a third.
INCH = {
    "UNC": """
#1 64 0.00263, #2 56 0.00370, #3 48 0.00487, #4 40 0.00604, #5 40 0.00796, #6 32 0.00909, #8 32 0.0140,
#10 24 0.0175, #12 24 0.0242, 1/4 20 0.0318, 5/16 18 0.0524, 3/8 16 0.0775, 7/16 14 0.1063, 1/2 13 0.1419,
9/16 12 0.182, 5/8 11 0.226, 3/4 10 0.334, 7/8 9 0.462, 1 8 0.606, 1-1/8 7 0.763, 1-1/4 7 0.969, 1-3/8 6 1.16,
1-1/2 6 1.405, 1-3/4 5 1.90, 2 4.5 2.50, 2-1/4 4.5 3.25, 2-1/2 4 4.00, 2-3/4 4 4.93, 3 4 5.97
""",
    "UNF": """
#0 80 0.00180, #1 72 0.00278, #2 64 0.00394, #3 56 0.00523, #4 48 0.00661, #5 44 0.0083, #6 40 0.01015,
#8 36 0.01474, #10 32 0.0200, #12 28 0.0258, 1/4 28 0.0364, 5/16 24 0.0580, 3/8 24 0.0878, 7/16 20 0.1187,
1/2 20 0.1599, 9/16 18 0.203, 5/8 18 0.256, 3/4 16 0.373, 7/8 14 0.509, 1 12 0.663, 1-1/8 12 0.856,
1-1/4 12 1.073, 1-3/8 12 1.315, 1-1/2 12 1.581
""",
}

# ASME B1.1, form UNR: size, pitch diameter and minor diameter of the bolt in inches. The fine ones of 3/4 and 1 in are
# left out: 0.6763 and 0.9001 in the copy fit neither their neighbours nor the formula of a second copy.
UNIFIED = {
    "UNC": """
#1 0.0629 0.0544, 1/4 0.2175 0.1905, 1/2 0.4500 0.4084, 3/4 0.6850 0.6309, 1 0.9188 0.8512, 1-1/8 1.0322 0.9549,
1-1/4 1.1572 1.0799, 1-3/8 1.2667 1.1766, 1-1/2 1.3917 1.3016, 1-3/4 1.6201 1.5119, 2 1.8557 1.7353,
2-1/4 2.1057 1.9853, 2-1/2 2.3376 2.2023, 2-3/4 2.5876 2.4523, 3 2.8376 2.7023
""",
    "UNF": """
#0 0.0519 0.0451, #1 0.064 0.0565, #2 0.0759 0.0674, #3 0.0874 0.0778, #4 0.0985 0.0871, #5 0.1102 0.0979,
#6 0.1218 0.1082, #8 0.146 0.1309, #10 0.1697 0.1528, #12 0.1928 0.1734, 1/4 0.2268 0.2074, 5/16 0.2854 0.2629,
3/8 0.3479 0.3254, 7/16 0.405 0.378, 1/2 0.4675 0.4405, 9/16 0.5264 0.4964, 5/8 0.5889 0.5589, 7/8 0.8286 0.79,
1-1/8 1.0709 1.0258, 1-1/4 1.1959 1.1508, 1-3/8 1.3209 1.2758, 1-1/2 1.4459 1.4008
""",
}


def _rows(table: str) -> list[list[str]]:
    return [row.split() for row in table.split(",")]


def _inches(size: str) -> Fraction:
    if size[0] == "#":
        return Fraction(60 + 13 * int(size[1:]), 1000)
    return Fraction(sum(Fraction(part) for part in size.split("-")))


@pytest.mark.parametrize("row", _rows(COARSE), ids=lambda row: f"M{row[0]}")
def test_coarse_threads_have_the_printed_pitch_and_diameters(row: list[str]) -> None:
    """Diameters are printed to a micrometre."""
    size, pitch, *diameters = row
    thread = thread_named(f"M{size}")
    found = (thread.pitch_diameter, thread.minor_diameter, thread.nut_minor_diameter)

    assert float(pitch) == COARSE_PITCH[float(size)] == pytest.approx(thread.pitch * 1e3)
    assert [float(each) for each in diameters] == pytest.approx(
        [each * 1e3 for each in found[: len(diameters)]], abs=0.0006
    )


def test_every_coarse_pitch_was_read() -> None:
    """No size of the module goes without a printed one, nor the other way round."""
    printed = {float(row[0]): float(row[1]) for row in _rows(COARSE)} | {float(d): float(p) for d, p in LARGE.items()}

    assert printed == dict(COARSE_PITCH)


def test_every_fine_pitch_was_read() -> None:
    """Likewise the fine series."""
    assert {float(size): tuple(map(float, pitches)) for size, pitches in FINE.items()} == dict(FINE_PITCHES)


@pytest.mark.parametrize("series", INCH)
def test_every_inch_size_was_read(series: str) -> None:
    """Threads per inch of both series, no size more or less."""
    printed = {_inches(size): Fraction(threads) for size, threads, _ in _rows(INCH[series])}

    assert printed == dict(SERIES[series])


@pytest.mark.parametrize(
    ("series", "row"), [(name, row) for name, table in INCH.items() for row in _rows(table)], ids=str
)
def test_inch_threads_have_the_printed_stress_area(series: str, row: list[str]) -> None:
    """To the last printed place; some are cut off and not rounded (5/16-24 is 0.05807), 8-36 is 0.01473."""
    size, _, area = row
    place = 10.0 ** -len(area.partition(".")[2])
    found = thread_named(f"{size.replace('-', ' ')} {series}").stress_area / 0.0254**2

    assert float(area) == pytest.approx(found, abs=1.3 * place)


@pytest.mark.parametrize(
    ("series", "row"), [(name, row) for name, table in UNIFIED.items() for row in _rows(table)], ids=str
)
def test_inch_threads_have_the_printed_diameters(series: str, row: list[str]) -> None:
    """To four places, the last of them rounded now up, now down."""
    size, pitch_diameter, minor_diameter = row
    thread = thread_named(f"{size.replace('-', ' ')} {series}")

    assert float(pitch_diameter) == pytest.approx(thread.pitch_diameter / 0.0254, abs=0.00012)
    assert float(minor_diameter) == pytest.approx(thread.minor_diameter / 0.0254, abs=0.00012)
