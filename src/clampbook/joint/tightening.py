"""Stress of a bolt while it is turned: tension and twist together. Stresses in Pa, forces in N, areas in m²."""

from __future__ import annotations

import math

from msgspec import Struct

from clampbook.joint.strength import Strength
from clampbook.joint.threads import FLANK_ANGLE, Thread
from clampbook.joint.torque import Friction, Law, even_friction, thread_arm
from clampbook.joint.unknown import JointFault, above_zero


class Bolt(Struct, frozen=True):
    """A bolt: its thread, its strength, and the waist of its shank (m) where that is thinner than the thread.

    A shank reduced to about the pitch diameter does not weaken the bolt; a waisted one does. Raises JointFault for a
    waist that is not above zero or is thicker than the thread.
    """

    thread: Thread
    strength: Strength
    waist: float | None = None

    def __post_init__(self) -> None:
        if self.waist is not None and not 0 < self.waist <= self.thread.diameter:
            raise JointFault(
                f"A waist of {self.waist * 1000:g} mm does not belong to {self.thread.name}: "
                f"it lies above zero and is at most {self.thread.diameter * 1000:g} mm."
            )

    @property
    def weakest_diameter(self) -> float:
        """d_0, the smaller of the stress diameter d_s and the waist. Source: VDI 2230 Part 1:2003, 5.5.1."""
        own = self.thread.stress_diameter
        return own if self.waist is None else min(own, self.waist)

    @property
    def weakest_area(self) -> float:
        """A_0 = π/4 d_0²; m². Source: VDI 2230 Part 1:2003, 5.5.1."""
        return math.pi / 4 * self.weakest_diameter**2

    @property
    def proof_load(self) -> float:
        """S_p A_0 in N. Source: ISO 898-1:2013, 9.6 and Table 5, which round it."""
        return self.strength.proof * self.weakest_area

    @property
    def yield_load(self) -> float:
        """R_p0.2 A_0 in N, in tension without twist."""
        return self.strength.yield_ * self.weakest_area

    @property
    def tensile_load(self) -> float:
        """R_m A_0 in N. Source: ISO 898-1:2013, 9.1 and Table 4, which round it."""
        return self.strength.tensile * self.weakest_area


def thread_friction(thread: Thread, law: Law) -> float:
    """The friction in the thread that a law means; a nut factor is taken as the same friction in thread and head."""
    return law.thread if isinstance(law, Friction) else even_friction(thread, law)


def combined_rise(bolt: Bolt, law: Law) -> float:
    """By what factor twist raises the stress while tightening: √(1 + 3 (τ/σ)²), at least 1.

    τ/σ = 3/2 (d2/d_0) tan(φ + ρ'), that is τ = M_G/(π/12 d_0³): the whole section has reached the yield stress in
    shear. Source: VDI 2230 Part 1, eq. R7/2, as public programs quote it (with P/(π d2) + 1.155 μ for the tangent).
    """
    rubs = thread_friction(bolt.thread, law)
    flank = law.flank_angle if isinstance(law, Friction) else FLANK_ANGLE
    twist = 3 * thread_arm(bolt.thread, rubs, flank) / bolt.weakest_diameter
    return math.sqrt(1 + 3 * twist * twist)


def combined_stress(preload: float, bolt: Bolt, law: Law) -> float:
    """σ_red = √(σ² + 3 τ²) while tightening, in Pa, at a preload in N.

    Source: VDI 2230 Part 1:2003, 5.5.1 (von Mises). Range: F ≥ 0, up to yield; beyond it the figure only says by how
    much. Raises JointFault below zero. Once the tool is off, about half of the twist is gone again.
    """
    if not 0 <= preload < math.inf:
        raise JointFault(f"A clamp load of {preload:g} N is not possible here: it is zero or more.")
    return preload / bolt.weakest_area * combined_rise(bolt, law)


def share_of_yield(preload: float, bolt: Bolt, law: Law) -> float:
    """σ_red/R_p0.2 while tightening: 1 is where the bolt begins to yield. Source: VDI 2230 Part 1:2003, 5.5.1."""
    return combined_stress(preload, bolt, law) / bolt.strength.yield_


def preload_at_yield(bolt: Bolt, law: Law, share: float = 1.0) -> float:
    """The preload in N at which tension and twist together use `share` of the yield strength.

    F = ν R_p0.2 A_0/√(1 + 3 (3/2 d2/d_0 (P/(π d2) + 1.155 μ_G))²). Source: VDI 2230 Part 1, eq. R7/2, as public
    programs quote it; with ν = 0.9 it meets the printed tables of coarse and fine threads. Range: ν > 0. Raises
    JointFault otherwise.
    """
    return above_zero("A share of yield", share) * bolt.yield_load / combined_rise(bolt, law)
