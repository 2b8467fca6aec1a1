"""Clamp loads for reading: few digits, in kN, and always as what they are, an estimate with its band."""

from __future__ import annotations

import math
from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_UP, Decimal

from msgspec import Struct

from clampbook.joint.stretch import SPREAD
from clampbook.run.plan import Plan, StageClamp, Step

KILO, POUND = 1000.0, 4.4482216152605  # N in a kN and in a lbf
FEW, SOME = 2, 3  # significant digits: at the bench, and where somebody sits and reads


def kilonewtons(low: float, likely: float, high: float, digits: int = FEW) -> tuple[str, str, str]:
    """Loads in N as kN with so many digits of the likely one, ones at the coarsest; the ends are rounded outwards."""
    return _told((low / KILO, likely / KILO, high / KILO), max(0, _place((likely or high) / KILO, digits)))


def pounds(low: float, likely: float, high: float, digits: int = FEW) -> tuple[str, str, str]:
    """The same in lbf, where tens or hundreds may be the coarsest."""
    return _told((low / POUND, likely / POUND, high / POUND), _place((likely or high) / POUND, digits))


def _told(loads: tuple[float, float, float], place: int) -> tuple[str, str, str]:
    low, likely, high = loads
    middle = _rounded(likely, place, ROUND_HALF_UP)
    if low == high:
        return middle, middle, middle  # one figure and no band
    return _rounded(low, place, ROUND_FLOOR), middle, _rounded(high, place, ROUND_CEILING)


class Estimated(Struct, frozen=True):
    """Clamp loads in N, worst case; the likely one as a share of the proof load; `beyond`: a turn goes past yield."""

    low: float
    likely: float
    high: float
    of_proof: float | None = None
    beyond: bool = False


class EstimateLine(Struct, frozen=True):
    """A line that tells an estimate with its band: whole, and in few words where columns are few."""

    whole: str
    few: str


def estimate_line(found: Estimated) -> EstimateLine:
    """ "estimated clamp load 19 kN (15 to 24), 37 % of proof load", or "est. 19 kN (15–24)"; a turn says that it goes
    past yield, in few words too, but not at which angle: that number could be taken for the one to turn to.
    """
    low, likely, high = kilonewtons(found.low, found.likely, found.high)
    whole, few = f"estimated clamp load {likely} kN ({low} to {high})", f"est. {likely} kN ({low}–{high})"
    if found.beyond:
        return EstimateLine(f"{whole}, past yield at this angle", f"{few}, past yield")
    if found.of_proof is not None:
        whole += f", {round(100 * found.of_proof)}\N{NO-BREAK SPACE}% of proof load"
    return EstimateLine(whole, few)


def planned(plan: Plan, step: Step) -> EstimateLine | None:
    """Tell what a step does to the clamp load, as it was planned; None where nothing could be estimated."""
    found = plan.clamp_after.get((step.position, step.stage, step.round))
    if found is None:
        return None
    return _told_after(*found)


def after_stage(plan: Plan, stage: int) -> tuple[EstimateLine, ...]:
    """Tell what a stage, at the end of its last round, does to the clamp load: once for fasteners that are alike."""
    found: dict[EstimateLine, None] = {}
    for each in plan.clamping:
        after = next((one for one in reversed(each.stages) if one.stage == stage), None)
        if after is not None:
            found[_told_after(after, each.proof_load)] = None
    return tuple(found)


def _told_after(after: StageClamp, proof: float | None) -> EstimateLine:
    share = None if proof is None else after.likely / proof
    return estimate_line(Estimated(after.low, after.likely, after.high, share, after.beyond))


def stretched(metres: float, each_millimetre: float, proof_load: float | None) -> str:
    """Tell what a measured stretch says of the clamp load, in the words of `estimate_line`; N for each
    mm, and N.
    """
    likely = max(0.0, metres) * 1000 * each_millimetre
    share = None if proof_load is None else likely / proof_load
    return estimate_line(Estimated(likely * (1 - SPREAD), likely, likely * (1 + SPREAD), share)).whole


def _place(load: float, digits: int) -> int:
    """Count the decimal places that show so many digits of a load."""
    return 0 if load <= 0 else digits - 1 - math.floor(math.log10(load) + 1e-9)


def _rounded(load: float, places: int, way: str) -> str:
    # A hair is taken off first: 15.000000000000002 is 15, whichever way is rounded.
    exact = Decimal(repr(round(load, 9)))
    return format(exact.quantize(Decimal(1).scaleb(-places), rounding=way), "f")
