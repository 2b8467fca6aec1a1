"""Torque and preload, both ways: by nut factor, or by the long form with pitch, thread friction and head friction.

Torques in N·m, forces in N, lengths in m. Everything is for tightening.
"""

from __future__ import annotations

import math

from msgspec import Struct

from clampbook.joint.bearing import Bearing, bearing_of
from clampbook.joint.threads import FLANK_ANGLE, Thread
from clampbook.joint.unknown import JointFault, above_zero

MOST_FRICTION = 1.0


class NutFactor(Struct, frozen=True):
    """K of T = K d F, without a unit. Raises JointFault outside 0 to 1."""

    value: float

    def __post_init__(self) -> None:
        _friction_like("A nut factor", self.value)


class Friction(Struct, frozen=True):
    """Coefficients of friction in the thread and under the head (or nut), and the face that rubs.

    `flank_angle` is the angle between the flanks in rad. Raises JointFault outside 0 to 1, and for a flank angle that
    is none.
    """

    thread: float
    head: float
    bearing: Bearing
    flank_angle: float = FLANK_ANGLE

    def __post_init__(self) -> None:
        _friction_like("Friction in the thread", self.thread)
        _friction_like("Friction under the head", self.head)
        if not 0 <= self.flank_angle < math.pi / 2:
            raise JointFault(f"An angle of {math.degrees(self.flank_angle):g}° between flanks lies outside 0° to 90°.")


Law = NutFactor | Friction


def _friction_like(what: str, value: float) -> None:
    if not 0 < value <= MOST_FRICTION:
        raise JointFault(f"{what} of {value:g} is not possible here: it lies above 0 and is at most 1.")


def thread_arm(thread: Thread, friction: float, flank_angle: float = FLANK_ANGLE) -> float:
    """Torque in the thread for each newton of preload: d2/2 tan(φ + ρ'), tan ρ' = μ/cos(α/2); m.

    Source: VDI 2230 Part 1:2003, 5.4.2 (the exact form that (0.16 P + 0.58 d2 μ) shortens); Shigley 9th ed., eq. 8-6
    and 8-26. Range: 0 ≤ μ ≤ 1. Raises JointFault where the thread would lock (tan φ · tan ρ' ≥ 1).
    """
    slope, rub = thread.lead_slope, friction / math.cos(flank_angle / 2)
    if slope * rub >= 1:
        raise JointFault(f"With a friction of {friction:g} the thread {thread.name} cannot be turned at all.")
    return thread.pitch_diameter / 2 * (slope + rub) / (1 - slope * rub)


def head_arm(friction: Friction) -> float:
    """Torque under the head for each newton of preload: μ_K D_Km/2; m. Source: VDI 2230 Part 1:2003, 5.4.2."""
    return friction.head * friction.bearing.mean / 2


def arm(thread: Thread, law: Law) -> float:
    """Torque for each newton of preload, in m: K d, or thread and head together.

    Source: T = K d F, Shigley 9th ed., eq. 8-27, and NASA RP-1228; M_A of VDI 2230 Part 1:2003, 5.4.2.
    """
    if isinstance(law, NutFactor):
        return law.value * thread.diameter
    return thread_arm(thread, law.thread, law.flank_angle) + head_arm(law)


def preload_of(torque: float, thread: Thread, law: Law, prevailing: float = 0.0) -> float:
    """Preload in N from a tightening torque in N·m, of which the prevailing torque is lost beforehand.

    F = (T - T_p)/arm; nothing is clamped while the torque only turns a locking nut. Source: as `arm`; the prevailing
    torque as in AC 43.13-1B, par. 7-40. Range: T ≥ 0, T_p ≥ 0. Raises JointFault below zero.
    """
    if not (0 <= torque < math.inf and 0 <= prevailing < math.inf):
        raise JointFault(f"A torque of {torque:g} N·m with {prevailing:g} N·m prevailing is not possible here.")
    return max(0.0, torque - prevailing) / arm(thread, law)


def torque_of(preload: float, thread: Thread, law: Law, prevailing: float = 0.0) -> float:
    """The torque in N·m that brings a preload in N, prevailing torque added: the inverse of `preload_of`.

    Range: F ≥ 0, T_p ≥ 0. Raises JointFault below zero.
    """
    if not (0 <= preload < math.inf and 0 <= prevailing < math.inf):
        raise JointFault(f"A clamp load of {preload:g} N with {prevailing:g} N·m prevailing is not possible here.")
    return preload * arm(thread, law) + prevailing


def nut_factor(thread: Thread, friction: Friction) -> float:
    """The K that stands for these frictions in this thread. Source: Shigley 9th ed., eq. 8-26 and 8-27."""
    return arm(thread, friction) / thread.diameter


def total_friction(torque: float, preload: float, thread: Thread, bearing: Bearing) -> float:
    """One coefficient for thread and head together, from a measured torque (N·m) and preload (N).

    μ_tot = (T/F - P/2π)/(0.577 d2 + 0.5 D_b). Source: ISO 16047:2005, 8.1, from memory. It can come out below zero
    where the torque is too small for the pitch alone. Raises JointFault unless the preload is above zero.
    """
    above_zero("A clamp load", preload)
    pitch_share = thread.pitch / (2 * math.pi)
    return (torque / preload - pitch_share) / (thread.pitch_diameter / math.sqrt(3) + bearing.mean / 2)


def even_friction(thread: Thread, factor: NutFactor, bearing: Bearing | None = None) -> float:
    """The one coefficient in thread and under head that makes this nut factor; 0 where K is below what the pitch takes.

    Needed for the stress while tightening, since K alone does not say how much torque twists the bolt. The quadratic
    equation of the long form is solved; without a bearing face that of `bearing_of` is taken.
    """
    half, slope, flank = thread.pitch_diameter / 2, thread.lead_slope, 1 / math.cos(FLANK_ANGLE / 2)
    ring = (bearing or bearing_of(thread)).mean / 2
    wanted = factor.value * thread.diameter
    # half (slope + flank μ)/(1 - slope flank μ) + ring μ = wanted
    a = -slope * flank * ring
    b = half * flank + ring + wanted * slope * flank
    c = half * slope - wanted
    if c >= 0:
        return 0.0
    return min(MOST_FRICTION, 2 * -c / (b + math.sqrt(b * b - 4 * a * c)))
