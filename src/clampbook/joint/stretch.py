"""From a measured stretch to a preload, and back; lengths in m, forces in N, resilience in m/N."""

from __future__ import annotations

import math

from clampbook.joint.unknown import JointFault, above_zero

SPREAD = 0.05  # how well elongation tells preload: ± 5 %, NASA table of preload accuracy, read as quoted elsewhere


def preload_of_stretch(stretch: float, bolt: float) -> float:
    """F = Δl/δ_S: the preload of a bolt that became longer by `stretch`, with resilience δ_S = `bolt`.

    Source: VDI 2230 Part 1:2003, eq. 5.1/1 (δ = f/F); Bickford, ch. 9, is the same with E A/L. Range: elastic, below
    yield; both ends of the bolt are measured. Raises JointFault for a stretch below zero.
    """
    if not 0 <= stretch < math.inf:
        raise JointFault(f"A stretch of {stretch * 1000:g} mm is not possible here: it is zero or more.")
    return stretch / above_zero("The resilience of a bolt", bolt)


def stretch_of_preload(preload: float, bolt: float) -> float:
    """Δl = F δ_S, the inverse of `preload_of_stretch`. Raises JointFault for a preload below zero."""
    if not 0 <= preload < math.inf:
        raise JointFault(f"A clamp load of {preload:g} N is not possible here: it is zero or more.")
    return preload * above_zero("The resilience of a bolt", bolt)
