"""Stretch of a bolt for each newton: its segments in a row. Resiliences in m/N, lengths in m, areas in m²."""

from __future__ import annotations

import math
from collections.abc import Iterable

from msgspec import Struct

from clampbook.joint.bearing import Head, Into
from clampbook.joint.materials import BOLT_STEEL
from clampbook.joint.threads import Thread
from clampbook.joint.unknown import JointFault, above_zero

# Lengths that stand for what stretches inside head, thread and nut, in diameters. VDI 2230 Part 1:2003, 5.1.1.1.
_HEAD = {"hexagon": 0.5, "socket": 0.4}
_ENGAGED = 0.5
_COUNTERPART = {"nut": 0.4, "tapped hole": 0.33}


class Segment(Struct, frozen=True):
    """A piece of a bolt: length and section. Raises JointFault for a length below zero or no section."""

    length: float
    area: float

    def __post_init__(self) -> None:
        if not 0 <= self.length < math.inf:
            raise JointFault(f"A piece of a bolt cannot be {self.length * 1000:g} mm long.")
        above_zero("The section of a piece of a bolt", self.area)


def resilience(segments: Iterable[Segment], modulus: float) -> float:
    """δ = Σ l_i/(E A_i); m/N. Its inverse is the stiffness.

    Source: VDI 2230 Part 1:2003, eq. 5.1/3; the same as k_b = A_d A_t E/(A_d l_t + A_t l_d), Shigley 9th ed., eq.
    8-17. Range: E > 0 in Pa. Raises JointFault.
    """
    stiff = above_zero("A modulus", modulus)
    return sum(each.length / each.area for each in segments) / stiff


class Shank(Struct, frozen=True):
    """Shape of a bolt between its head and what it screws into, metres.

    `plain` is the length of the shank within the grip, the rest of the grip is free thread; `diameter` of the shank
    (None: that of the thread; for a reduced or waisted shank its own).
    """

    plain: float = 0.0
    diameter: float | None = None


def bolt_resilience(
    thread: Thread,
    grip: float,
    shank: Shank | None = None,
    *,
    head: Head = "hexagon",
    into: Into = "nut",
    modulus: float = BOLT_STEEL,
    counterpart: float | None = None,
) -> float:
    """δ_S of a whole bolt in m/N: head, shank, free thread, engaged thread, nut or tapped hole.

    δ_S = 0.5 d/(E A_N) (socket head 0.4 d) + l_1/(E A_1) + l_Gew/(E A_d3) + 0.5 d/(E A_d3) + 0.4 d/(E_M A_N) for a nut
    (tapped hole 0.33 d, E_M that of the part). A_N is the nominal section.
    Source: VDI 2230 Part 1, 5.1.1.1, eq. 5.1/3 to 5.1/15, as public programs quote them. Range: grip > 0 in m, shank no
    longer than the grip; steel nut where `counterpart` (Pa) is not given. Raises JointFault.
    """
    form = shank or Shank()
    if not 0 <= form.plain <= above_zero("A grip", grip):
        raise JointFault(
            f"A shank of {form.plain * 1000:g} mm is longer than a grip of {grip * 1000:g} mm: "
            "it is at most as long as the grip."
        )
    nominal, root = _circle(thread.diameter), _circle(thread.minor_diameter)
    shank_area = nominal if form.diameter is None else _circle(above_zero("The diameter of a shank", form.diameter))
    own = (
        Segment(_HEAD[head] * thread.diameter, nominal),
        Segment(form.plain, shank_area),
        Segment(grip - form.plain + _ENGAGED * thread.diameter, root),
    )
    inside = Segment(_COUNTERPART[into] * thread.diameter, nominal)
    return resilience(own, modulus) + resilience((inside,), modulus if counterpart is None else counterpart)


def _circle(diameter: float) -> float:
    return math.pi / 4 * diameter**2
