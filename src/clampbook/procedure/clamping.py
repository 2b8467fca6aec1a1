"""What a window and a turn of the file do to the clamp load of a bolt, for a plan's estimates and for the review."""

from __future__ import annotations

from clampbook.joint.band import Band
from clampbook.joint.estimate import AfterTurn, after_turn
from clampbook.joint.unknown import JointFault
from clampbook.procedure.fastening import Fastening
from clampbook.procedure.model import Turn, Window
from clampbook.units import si


def ends(window: Window, target: float, unit: str) -> tuple[float, float]:
    """Both ends of a window in SI, an open one at the target itself."""
    low = target if window.low is None else si(window.low, unit)
    high = target if window.high is None else si(window.high, unit)
    return max(0.0, low), high


def turned(stage: Turn, fastening: Fastening, held: Band | None) -> AfterTurn | None:
    """What a turn does to a clamp load in N; None where that, the bolt or the clamped parts are not known."""
    if held is None or fastening.bolt is None or fastening.springs is None:
        return None
    target = si(stage.target, "°")
    low, high = ends(stage.window, target, "°")
    try:
        return after_turn(held, Band(low, target, high), fastening.laws, fastening.bolt, fastening.springs)
    except JointFault:
        return None
