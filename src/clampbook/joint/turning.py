"""From an angle to a preload: the turn stretches the bolt and presses the parts, up to yield. SI units, rad."""

from __future__ import annotations

import math

from msgspec import Struct

from clampbook.joint.threads import Thread
from clampbook.joint.unknown import JointFault, above_zero

FULL_TURN = 2 * math.pi


class Springs(Struct, frozen=True):
    """Resiliences of bolt and clamped parts, δ_S and δ_P in m/N. Raises JointFault unless δ_S > 0, δ_P ≥ 0."""

    bolt: float
    clamped: float

    def __post_init__(self) -> None:
        above_zero("The resilience of a bolt", self.bolt)
        if not 0 <= self.clamped < math.inf:
            raise JointFault("The resilience of clamped parts is zero or more.")

    @property
    def together(self) -> float:
        """δ_S + δ_P: what a turn has to make up for each newton; m/N."""
        return self.bolt + self.clamped


def angle_for(rise: float, thread: Thread, springs: Springs) -> float:
    """The angle in rad that raises the preload by `rise` newtons: θ = 2π F (δ_S + δ_P)/P.

    Source: VDI 2230 Part 1:2003, 5.4.2 (angle-controlled tightening), from memory; Bickford, eq. 8.1 and 8.2, is the
    same for parts that do not give. Range: elastic, from a snug joint on; rise ≥ 0. Raises JointFault below zero.
    """
    if not 0 <= rise < math.inf:
        raise JointFault(f"A rise of {rise:g} N is not possible here: it is zero or more.")
    return FULL_TURN * rise * springs.together / thread.pitch


def rise_by(angle: float, thread: Thread, springs: Springs) -> float:
    """The rise of preload in N from a turn in rad: the inverse of `angle_for`. Range: elastic; angle ≥ 0."""
    if not 0 <= angle < math.inf:
        raise JointFault(f"A turn of {math.degrees(angle):g}° is not possible here: it is zero or more.")
    return angle * thread.pitch / (FULL_TURN * springs.together)


class Turned(Struct, frozen=True):
    """Preload in N after a turn, and the angle in rad at which the bolt begins to yield (0: it had yielded before).

    `elastic` is what the preload would be without yield.
    """

    preload: float
    elastic: float
    yields_at: float

    @property
    def yields(self) -> bool:
        """True where the turn goes beyond the point at which the bolt begins to yield."""
        return self.elastic > self.preload


def turned(snug: float, angle: float, thread: Thread, springs: Springs, at_yield: float) -> Turned:
    """Preload after a turn of `angle` rad from a snug one, where the bolt yields at a preload of `at_yield`; N.

    Elastic up to yield, then level: the rise beyond yield (a few per cent with most bolts) is left out, so that the
    preload is not overstated. Source: `rise_by`; the level part is common practice, no source. Range: snug ≥ 0,
    at_yield > 0. Raises JointFault.
    """
    above_zero("The clamp load at yield", at_yield)
    if not 0 <= snug < math.inf:
        raise JointFault(f"A snug clamp load of {snug:g} N is not possible here: it is zero or more.")
    elastic = snug + rise_by(angle, thread, springs)
    yields_at = angle_for(max(0.0, at_yield - snug), thread, springs)
    return Turned(min(elastic, max(at_yield, snug)), elastic, yields_at)
