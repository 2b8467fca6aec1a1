"""Preloads at nine tenths of yield held against the guideline's table of coarse threads."""

from __future__ import annotations

import pytest

from clampbook.joint.bearing import bearing_of
from clampbook.joint.strength import strength_named
from clampbook.joint.thread_names import thread_named
from clampbook.joint.tightening import Bolt, preload_at_yield
from clampbook.joint.torque import Friction

# VDI 2230 Part 1, Table A1: by class the size, then the preload in kN at each friction, as a public program copies it;
# the 41.9 of M12 stand in two more copies. For M7 in 10.9 at 0.10 the copy has 22.5 between 22.7 and 21.7, a slip for
# 22.2 that is left out.
FRICTIONS = (0.08, 0.10, 0.12, 0.14, 0.16, 0.20, 0.24)
A1 = {
    "8.8": """
4 4.6 4.5 4.4 4.3 4.2 3.9 3.7, 5 7.6 7.4 7.2 7.0 6.8 6.4 6.0, 6 10.7 10.4 10.2 9.9 9.6 9.0 8.4,
7 15.5 15.1 14.8 14.4 14.0 13.1 12.3, 8 19.5 19.1 18.6 18.1 17.6 16.5 15.5, 10 31.0 30.3 29.6 28.8 27.9 26.3 24.7,
12 45.2 44.1 43.0 41.9 40.7 38.3 35.9, 14 62.0 60.6 59.1 57.5 55.9 52.6 49.3, 16 84.7 82.9 80.9 78.8 76.6 72.2 67.8,
18 107 104 102 99 96 91 85, 20 136 134 130 127 123 116 109, 22 170 166 162 158 154 145 137,
24 196 192 188 183 178 168 157, 27 257 252 246 240 234 220 207, 30 313 307 300 292 284 268 252,
33 389 381 373 363 354 334 314, 36 458 448 438 427 415 392 368, 39 548 537 525 512 498 470 443
""",
    "10.9": """
4 6.8 6.7 6.5 6.3 6.1 5.7 5.4, 5 11.1 10.8 10.6 10.3 10.0 9.4 8.8, 6 15.7 15.3 14.9 14.5 14.1 13.2 12.4,
7 22.7 - 21.7 21.1 20.5 19.3 18.1, 8 28.7 28.0 27.3 26.6 25.8 24.3 22.7, 10 45.6 44.5 43.4 42.2 41.0 38.6 36.2,
12 66.3 64.8 63.2 61.5 59.8 56.3 52.8, 14 91.0 88.9 86.7 84.4 82.1 77.2 72.5,
16 124.4 121.7 118.8 115.7 112.6 106.1 99.6, 18 152 149 145 141 137 129 121, 20 194 190 186 181 176 166 156,
22 242 237 231 225 219 207 194, 24 280 274 267 260 253 239 224, 27 367 359 351 342 333 314 295,
30 446 437 427 416 405 382 359, 33 554 543 531 517 504 475 447, 36 652 638 623 608 591 558 524,
39 781 765 748 729 710 670 630
""",
    "12.9": """
4 8.0 7.8 7.6 7.4 7.1 6.7 6.3, 5 13.0 12.7 12.4 12.0 11.7 11.0 10.3, 6 18.4 17.9 17.5 17.0 16.5 15.5 14.5,
7 26.6 26.0 25.4 24.7 24.0 22.6 21.2, 8 33.6 32.8 32.0 31.1 30.2 28.4 26.6, 10 53.3 52.1 50.8 49.4 48.0 45.2 42.4,
12 77.6 75.9 74.0 72.0 70.0 65.8 61.8, 14 106.5 104.1 101.5 98.8 96.0 90.4 84.8,
16 145.5 142.4 139.0 135.4 131.7 124.1 116.6, 18 178 174 170 165 160 151 142, 20 227 223 217 212 206 194 182,
22 283 277 271 264 257 242 228, 24 327 320 313 305 296 279 262, 27 429 420 410 400 389 367 345,
30 522 511 499 487 474 447 420, 33 649 635 621 605 589 556 523, 36 763 747 729 711 692 653 614,
39 914 895 875 853 831 784 738
""",
}


def _rows() -> list[tuple[str, str, float, str]]:
    found = []
    for class_, rows in A1.items():
        for row in rows.split(","):
            size, *printed = row.split()
            found += [(class_, size, mu, each) for mu, each in zip(FRICTIONS, printed, strict=True) if each != "-"]
    return found


@pytest.mark.parametrize(("class_", "size", "mu", "printed"), _rows())
def test_the_preload_of_a_coarse_bolt(class_: str, size: str, mu: float, printed: str) -> None:
    """To the printed place and 0.3 %: the table shortens the tangent to 1.155 μ."""
    thread = thread_named(f"M{size}")
    bolt = Bolt(thread, strength_named(class_, thread.diameter))
    found = preload_at_yield(bolt, Friction(mu, mu, bearing_of(thread)), 0.9) / 1e3
    half_a_place = 0.05 if "." in printed else 0.5

    assert float(printed) == pytest.approx(found, abs=half_a_place + 0.003 * found)
