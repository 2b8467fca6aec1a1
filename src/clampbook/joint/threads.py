"""The geometry of a screw thread with the 60° profile of ISO 68-1 and ASME B1.1; lengths in metres, areas in m²."""

from __future__ import annotations

import math
from typing import Literal

from msgspec import Struct

from clampbook.joint.unknown import JointFault

FLANK_ANGLE = math.radians(60)  # between the flanks
_HEIGHT = math.sqrt(3) / 2  # H of the basic profile, in pitches


class Thread(Struct, frozen=True):
    """A single-start thread: nominal diameter d and pitch P in metres; `name` as the trade writes it.

    Raises JointFault where the pitch cannot belong to the diameter (it lies between 0 and a third of it).
    """

    name: str
    diameter: float
    pitch: float
    system: Literal["metric", "unified"] = "metric"

    def __post_init__(self) -> None:
        if not (self.diameter < 1 and 0 < self.pitch < self.diameter / 3):
            raise JointFault(
                f"{self.name} is no thread: its pitch of {self.pitch * 1000:g} mm has to lie above zero and below a "
                f"third of its diameter of {self.diameter * 1000:g} mm."
            )

    @property
    def pitch_diameter(self) -> float:
        """d2 = d - 3/4 H = d - 0.649519 P. Source: ISO 724:1993, clause 4; the same in ASME B1.1."""
        return self.diameter - 0.75 * _HEIGHT * self.pitch

    @property
    def minor_diameter(self) -> float:
        """d3 of the bolt, with its rounded root.

        Metric d - 17/12 H = d - 1.226869 P, ISO 898-1:2013, 9.1.6 (d3 = d1 - H/6). Inch d - 11/8 H = d - 1.190785 P,
        ASME B1.1, the form UNR, as printed in public copies.
        """
        root = 17 / 12 if self.system == "metric" else 11 / 8
        return self.diameter - root * _HEIGHT * self.pitch

    @property
    def nut_minor_diameter(self) -> float:
        """D1 of the nut = d - 5/4 H = d - 1.082532 P. Source: ISO 724:1993, clause 4; the same in ASME B1.1."""
        return self.diameter - 1.25 * _HEIGHT * self.pitch

    @property
    def stress_diameter(self) -> float:
        """The diameter of the circle with the stress area.

        Metric (d2 + d3)/2 = d - 0.938194 P, ISO 898-1:2013, 9.1.6. Inch d - 0.974279 P, ASME B1.1 appendix B.
        """
        if self.system == "metric":
            return (self.pitch_diameter + self.minor_diameter) / 2
        return self.diameter - 9 / 8 * _HEIGHT * self.pitch

    @property
    def stress_area(self) -> float:
        """A_s = π/4 d_s², the section that bears the load in the thread; m². Source: as `stress_diameter`."""
        return math.pi / 4 * self.stress_diameter**2

    @property
    def lead_slope(self) -> float:
        """tan φ = P/(π d2), how steeply the thread climbs. Source: VDI 2230 Part 1, as public programs quote it."""
        return self.pitch / (math.pi * self.pitch_diameter)
