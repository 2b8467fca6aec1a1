"""The thread that belongs to a size by standard: metric coarse pitches, inch threads of the two common series.

Each size as printed in public copies of the tables (tests/reference/test_standard_sizes.py).
"""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from types import MappingProxyType

# ISO 261:1998 and ISO 262:1998, coarse series: nominal diameter and pitch in millimetres.
COARSE_PITCH: Mapping[float, float] = MappingProxyType(
    {1.0: 0.25, 1.1: 0.25, 1.2: 0.25, 1.4: 0.3, 1.6: 0.35, 1.8: 0.35, 2.0: 0.4, 2.2: 0.45, 2.5: 0.45}
    | {3.0: 0.5, 3.5: 0.6, 4.0: 0.7, 4.5: 0.75, 5.0: 0.8, 6.0: 1.0, 7.0: 1.0, 8.0: 1.25, 9.0: 1.25}
    | {10.0: 1.5, 11.0: 1.5, 12.0: 1.75, 14.0: 2.0, 16.0: 2.0, 18.0: 2.5, 20.0: 2.5, 22.0: 2.5, 24.0: 3.0}
    | {27.0: 3.0, 30.0: 3.5, 33.0: 3.5, 36.0: 4.0, 39.0: 4.0, 42.0: 4.5, 45.0: 4.5, 48.0: 5.0, 52.0: 5.0}
    | {56.0: 5.5, 60.0: 5.5, 64.0: 6.0}
)

# The pitches in millimetres that a size has besides its coarse one: ISO 262:1998, fine series, which begins at 8 mm;
# those of 6 and 7 mm are in ISO 261.
FINE_PITCHES: Mapping[float, tuple[float, ...]] = MappingProxyType(
    {6.0: (0.75,), 7.0: (0.75,), 8.0: (1.0,), 10.0: (1.25, 1.0), 12.0: (1.5, 1.25), 14.0: (1.5,), 16.0: (1.5,)}
    | dict.fromkeys((18.0, 20.0, 22.0), (2.0, 1.5))
    | dict.fromkeys((24.0, 27.0, 30.0, 33.0), (2.0,))
    | dict.fromkeys((36.0, 39.0, 42.0, 45.0, 48.0), (3.0,))
    | dict.fromkeys((52.0, 56.0, 60.0, 64.0), (4.0,))
)

_NUMBERED = {number: Fraction(60 + 13 * number, 1000) for number in (0, 1, 2, 3, 4, 5, 6, 8, 10, 12)}
# Diameter of the numbered sizes in inches, 0.060 + 0.013 n (ASME B1.1).
NUMBERED: Mapping[int, Fraction] = MappingProxyType(_NUMBERED)


def _of(per_inch: Mapping[str, str]) -> dict[Fraction, Fraction]:
    """Threads per inch by diameter in inches; "#10" is a numbered size, "1+1/8" a sum."""
    found = {}
    for size, threads in per_inch.items():
        inches = NUMBERED[int(size[1:])] if size[0] == "#" else sum(Fraction(part) for part in size.split("+"))
        found[Fraction(inches)] = Fraction(threads)
    return found


# ASME B1.1-2003, Table 1: threads per inch of the coarse and the fine series.
SERIES: Mapping[str, Mapping[Fraction, Fraction]] = MappingProxyType(
    {
        "UNC": _of(
            {"#1": "64", "#2": "56", "#3": "48", "#4": "40", "#5": "40", "#6": "32", "#8": "32", "#10": "24"}
            | {"#12": "24", "1/4": "20", "5/16": "18", "3/8": "16", "7/16": "14", "1/2": "13", "9/16": "12"}
            | {"5/8": "11", "3/4": "10", "7/8": "9", "1": "8", "1+1/8": "7", "1+1/4": "7", "1+3/8": "6"}
            | {"1+1/2": "6", "1+3/4": "5", "2": "9/2", "2+1/4": "9/2", "2+1/2": "4", "2+3/4": "4", "3": "4"}
        ),
        "UNF": _of(
            {"#0": "80", "#1": "72", "#2": "64", "#3": "56", "#4": "48", "#5": "44", "#6": "40", "#8": "36"}
            | {"#10": "32", "#12": "28", "1/4": "28", "5/16": "24", "3/8": "24", "7/16": "20", "1/2": "20"}
            | {"9/16": "18", "5/8": "18", "3/4": "16", "7/8": "14", "1": "12", "1+1/8": "12", "1+1/4": "12"}
            | {"1+3/8": "12", "1+1/2": "12"}
        ),
    }
)
