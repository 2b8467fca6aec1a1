"""The faces on which the turned head or nut rubs: bearing faces and holes by standard; metres."""

from __future__ import annotations

import math
from collections.abc import Mapping
from types import MappingProxyType
from typing import Literal

from msgspec import Struct

from clampbook.joint.threads import Thread
from clampbook.joint.unknown import JointFault

Head = Literal["hexagon", "socket"]
Seat = Literal["part", "washer"]
Into = Literal["nut", "tapped hole"]  # what the bolt screws into
MM = 0.001


class Bearing(Struct, frozen=True):
    """The ring that rubs: outer diameter d_w of the face, inner diameter d_h of hole or washer; metres.

    Raises JointFault unless 0 ≤ inner < outer.
    """

    outer: float
    inner: float
    source: str = "as given"

    def __post_init__(self) -> None:
        if not 0 <= self.inner < self.outer < math.inf:
            raise JointFault(
                f"A bearing face of {self.outer / MM:g} mm around a hole of {self.inner / MM:g} mm is not possible: "
                "the hole is the smaller of the two."
            )

    @property
    def mean(self) -> float:
        """D_Km = (d_w + d_h)/2. Source: VDI 2230 Part 1, as public programs quote it."""
        return (self.outer + self.inner) / 2

    @property
    def at_even_pressure(self) -> float:
        """Twice the radius at which friction acts when the pressure is the same all over the ring.

        D = 2/3 (d_w³ - d_h³)/(d_w² - d_h²). Source: JIS B 1083, as printed in a public copy. Never below `mean`, and at
        most a third above it (no hole).
        """
        return 2 / 3 * (self.outer**3 - self.inner**3) / (self.outer**2 - self.inner**2)


def _by_size(figures: str) -> Mapping[float, float]:
    pairs = (pair.split(":") for pair in figures.split())
    return MappingProxyType({float(size): float(value) for size, value in pairs})


# Least diameters of the bearing face, d_w min, product grade A where there is one: ISO 4014 and ISO 4762 as printed in
# public copies, of the hexagon M27 on from memory. For M14 one copy prints 19.37 and another 19.64; the torques of VDI
# 2230 for M14x1.5 were worked out with 19.23 to 19.46.
_HEXAGON = _by_size(
    "3:4.57 4:5.88 5:6.88 6:8.88 8:11.63 10:14.63 12:16.63 14:19.37 16:22.49 18:25.34 20:28.19 22:31.71 24:33.61 "
    "27:38 30:42.75 33:46.55 36:51.11 39:55.86"
)
_SOCKET = _by_size("3:5.07 4:6.53 5:8.03 6:9.38 8:12.33 10:15.33 12:17.23 14:20.17 16:23.17 20:28.87 24:34.81 30:43.61")
# ISO 273:1979, medium series, and the hole of the washers of ISO 7089:2000; as printed in public copies.
_CLEARANCE = _by_size(
    "3:3.4 4:4.5 5:5.5 6:6.6 8:9 10:11 12:13.5 14:15.5 16:17.5 18:20 20:22 22:24 24:26 27:30 30:33 33:36 36:39 39:42"
)
_WASHER = _by_size("3:3.2 4:4.3 5:5.3 6:6.4 8:8.4 10:10.5 12:13 14:15 16:17 18:19 20:21 22:23 24:25 27:28 30:31 36:37")


def bearing_of(thread: Thread, head: Head = "hexagon", seat: Seat = "part") -> Bearing:
    """The usual face under a head or nut of this thread, on the part itself or on a washer.

    Source: d_w of ISO 4014 (hexagon) and ISO 4762 (socket head), holes of ISO 273 medium and ISO 7089. Sizes without
    an entry, and inch threads, take a face of 1.5 d around a hole of d: a mean of 1.25 d (Shigley 9th ed., eq. 8-26).
    """
    size = round(thread.diameter / MM, 4)
    faces, standard = (_HEXAGON, "ISO 4014") if head == "hexagon" else (_SOCKET, "ISO 4762")
    holes, hole_standard = (_CLEARANCE, "ISO 273 medium") if seat == "part" else (_WASHER, "ISO 7089")
    if thread.system == "metric" and size in faces and size in holes:
        return Bearing(faces[size] * MM, holes[size] * MM, f"{standard}, hole of {hole_standard}")
    return Bearing(1.5 * thread.diameter, thread.diameter, "a mean of 1.25 d, no standard size is known")
