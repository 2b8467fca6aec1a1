"""Give of clamped parts for each newton: cones of pressure through one or several layers. SI units."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import pairwise

from msgspec import Struct

from clampbook.joint.bearing import Bearing, Into
from clampbook.joint.unknown import JointFault, above_zero


class Layer(Struct, frozen=True):
    """One clamped part: thickness in m, Young's modulus in Pa. Raises JointFault unless both are above zero."""

    thickness: float
    modulus: float

    def __post_init__(self) -> None:
        above_zero("The thickness of a clamped part", self.thickness)
        above_zero("A modulus", self.modulus)


def cone_slope(grip: float, bearing: Bearing, outer: float, into: Into = "nut") -> float:
    """tan φ, how fast the cone of pressure widens.

    Through-bolt 0.362 + 0.032 ln(β/2) + 0.153 ln y; tapped hole 0.348 + 0.013 ln β + 0.193 ln y; β = l_K/d_w,
    y = D_A/d_w. Source: VDI 2230 Part 1, eq. 5.1/26 to 5.1/29, as public programs quote them. Range: β 0.5 to 10 and
    y 1 to 10, from memory; outside it the nearest end of these ranges is taken, so that the cone never closes. Raises
    JointFault unless grip and D_A (m) are above zero.
    """
    beta = min(10.0, max(0.5, above_zero("A grip", grip) / bearing.outer))
    y = min(10.0, max(1.0, above_zero("The width of the parts", outer) / bearing.outer))
    if into == "nut":
        return 0.362 + 0.032 * math.log(beta / 2) + 0.153 * math.log(y)
    return 0.348 + 0.013 * math.log(beta) + 0.193 * math.log(y)


def cone_resilience(thickness: float, start: float, hole: float, slope: float, modulus: float) -> float:
    """δ of one frustum that begins with diameter `start` and widens by `slope` on each side; m/N.

    δ = ln[(D_1 - d_h)(D_0 + d_h)/((D_1 + d_h)(D_0 - d_h))]/(π E d_h tan φ), D_1 = D_0 + 2 t tan φ.
    Source: Shigley 9th ed., eq. 8-20 (with tan 30°; worked results are in tests/reference), and VDI 2230 Part 1, eq.
    5.1/30, as public programs quote it.
    Range: 0 < hole < start, slope ≥ 0 (0: a sleeve), thickness ≥ 0. Raises JointFault.
    """
    if not 0 < hole < start or thickness < 0 or slope < 0:
        raise JointFault("A cone of pressure has to begin outside its hole and to widen.")
    end = start + 2 * thickness * slope
    if end - start < 1e-9 * start:
        return thickness / (modulus * math.pi / 4 * (start**2 - hole**2))
    ratio = (end - hole) * (start + hole) / ((end + hole) * (start - hole))
    return math.log(ratio) / (math.pi * modulus * hole * slope)


def clamped_resilience(
    layers: Sequence[Layer], bearing: Bearing, outer: float, into: Into = "nut", slope: float | None = None
) -> float:
    """δ_P of all clamped parts in m/N, from the head on; each with its own modulus.

    With a nut two cones meet in the middle of the grip, with a tapped hole there is one; where the cone reaches the
    edge of the parts (D_A) it goes on as a sleeve. Source: VDI 2230 Part 1, 5.1.2.1, eq. 5.1/23 to 5.1/25, as public
    programs quote them, here layer by layer. Range: one bolt on its own axis (concentric); D_A no smaller than the
    bearing face is wide (below that, the whole part is the sleeve). Raises JointFault.
    """
    if not layers:
        raise JointFault("Nothing is clamped: at least one part with its thickness is needed.")
    grip = sum(layer.thickness for layer in layers)
    if not bearing.inner < outer:
        raise JointFault(f"Parts {outer * 1000:g} mm wide leave nothing around a hole of {bearing.inner * 1000:g} mm.")
    if bearing.inner <= 0:
        raise JointFault("A cone of pressure needs the hole that it goes around.")
    steep = cone_slope(grip, bearing, outer, into) if slope is None else slope
    tip = grip / 2 if into == "nut" else grip
    reach = max(0.0, (outer - bearing.outer) / (2 * steep)) if steep else math.inf
    return sum(_pieces(layers, bearing, outer, steep, tip, reach))


def _pieces(
    layers: Sequence[Layer], bearing: Bearing, outer: float, slope: float, tip: float, reach: float
) -> Iterator[float]:
    """The resilience of each piece between two depths at which material or form changes."""
    depths = [0.0]
    for layer in layers:
        depths.append(depths[-1] + layer.thickness)
    grip = depths[-1]
    marks = sorted({0.0, grip, *(mark for mark in (*depths, tip, reach, grip - reach) if 0 < mark < grip)})
    for begin, end in pairwise(marks):
        middle = (begin + end) / 2
        layer = next(each for each, bottom in zip(layers, depths[1:], strict=True) if middle <= bottom)
        # Distance from the nearer bearing face: beyond the middle of a through-bolt that is the nut's.
        near = begin if middle <= tip else grip - end
        if near >= reach - 1e-12:
            yield cone_resilience(end - begin, outer, bearing.inner, 0.0, layer.modulus)
        else:
            yield cone_resilience(end - begin, bearing.outer + 2 * near * slope, bearing.inner, slope, layer.modulus)
