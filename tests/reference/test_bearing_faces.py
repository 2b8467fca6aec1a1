"""Bearing faces of heads and the holes under them held against ISO 4014, ISO 4762, ISO 273 and ISO 7089."""

from __future__ import annotations

import pytest

from clampbook.joint.bearing import bearing_of
from clampbook.joint.thread_names import thread_named

# Each as printed in a public copy of the table, in mm; (a) least d_w of ISO 4014, grade A.
HEXAGON = {3: 4.57, 4: 5.88, 5: 6.88, 6: 8.88, 8: 11.63, 10: 14.63, 12: 16.63, 14: 19.37, 16: 22.49, 18: 25.34}
HEXAGON |= {20: 28.19, 22: 31.71, 24: 33.61}
# (b) Least d_w of ISO 4762.
SOCKET = {3: 5.07, 4: 6.53, 5: 8.03, 6: 9.38, 8: 12.33, 10: 15.33, 12: 17.23, 14: 20.17, 16: 23.17, 20: 28.87}
SOCKET |= {24: 34.81, 30: 43.61}
# (c) Clearance holes of ISO 273, medium series.
MEDIUM = {3: 3.4, 4: 4.5, 5: 5.5, 6: 6.6, 8: 9, 10: 11, 12: 13.5, 14: 15.5, 16: 17.5, 18: 20, 20: 22, 22: 24, 24: 26}
MEDIUM |= {27: 30, 30: 33, 33: 36, 36: 39, 39: 42}
# (d) Holes of plain washers, ISO 7089.
WASHER = {3: 3.2, 4: 4.3, 5: 5.3, 6: 6.4, 8: 8.4, 10: 10.5, 12: 13, 14: 15, 16: 17, 18: 19, 20: 21, 22: 23, 24: 25}
WASHER |= {27: 28, 30: 31, 36: 37}


@pytest.mark.parametrize("size", HEXAGON)
def test_the_face_under_a_hexagon(size: int) -> None:
    """The ring that rubs is as wide as the smallest head of the standard."""
    assert HEXAGON[size] == pytest.approx(bearing_of(thread_named(f"M{size}")).outer * 1e3)


@pytest.mark.parametrize("size", SOCKET)
def test_the_face_under_a_socket_head(size: int) -> None:
    """A socket head has a wider face than the hexagon of its size."""
    assert SOCKET[size] == pytest.approx(bearing_of(thread_named(f"M{size}"), "socket").outer * 1e3)


@pytest.mark.parametrize("size", MEDIUM)
def test_the_hole_in_the_part(size: int) -> None:
    """Without a washer the medium hole bounds the ring."""
    assert MEDIUM[size] == pytest.approx(bearing_of(thread_named(f"M{size}")).inner * 1e3)


@pytest.mark.parametrize("size", WASHER)
def test_the_hole_in_a_washer(size: int) -> None:
    """On a washer its narrower hole bounds the ring."""
    assert WASHER[size] == pytest.approx(bearing_of(thread_named(f"M{size}"), seat="washer").inner * 1e3)
