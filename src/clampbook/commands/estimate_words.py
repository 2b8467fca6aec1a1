"""An estimate for reading and as one object: every figure with its unit, every band with how it came about."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from clampbook.commands.estimate_figures import Spoken
from clampbook.joint.band import STATISTICAL, WORST_CASE, Band, Laws
from clampbook.joint.bearing import Bearing
from clampbook.joint.estimate import AfterTurn, Clamp, Pull, Use
from clampbook.joint.threads import Thread
from clampbook.joint.tightening import Bolt
from clampbook.joint.torque import Friction, NutFactor
from clampbook.units import Quantity, side_by_side


@dataclass(frozen=True, slots=True)
class Estimated:
    """All that was found; what could not be worked out is None."""

    target: Quantity
    thread: Thread
    face: Bearing
    pull: Pull
    clamp: Clamp
    bolt: Bolt | None = None
    use: Use | None = None
    turn: AfterTurn | None = None
    wanted: bool = False  # whether the clamp load was asked for, and the torque worked out from it


def as_object(found: Estimated) -> dict[str, Any]:
    """One object; a quantity is its value and its unit, a band is low, likely, high."""
    bolt, use = found.bolt, found.use
    told: dict[str, Any] = {
        "thread": found.thread.name,
        "torque": _quantity(float(found.target.value), found.target.unit),
        "stress_area": _quantity(found.thread.stress_area * 1e6, "mm²"),
        "proof_load": None if bolt is None else _kilonewtons(bolt.proof_load),
        "clamp_load": _band(found.clamp.worst, 1e-3, "kN") | {"combined": WORST_CASE},
        "clamp_load_statistical": _band(found.clamp.statistical, 1e-3, "kN") | {"combined": STATISTICAL},
        "tightening_factor": found.clamp.worst.tightening_factor,
        "share_of_proof": None if use is None else _quantity(100 * use.of_proof.likely, "%"),
        "share_of_proof_band": None if use is None else _band(use.of_proof, 100, "%"),
        "share_of_yield": None if use is None else _band(use.of_yield, 100, "%"),
        "yields_at_torque": None if use is None else _quantity(use.torque_at_yield, "N·m"),
        "property_class": None if bolt is None else bolt.strength.name,
        "source": None if bolt is None else bolt.strength.source,
        "estimate": True,
    }
    if found.turn is not None:
        told["after_turn"] = {
            "clamp_load": _band(found.turn.clamp, 1e-3, "kN"),
            "yields_at": _quantity(math.degrees(found.turn.yields_at), "°"),
            "beyond_yield": found.turn.beyond,
        }
    return told


def _quantity(value: float, unit: str) -> dict[str, Any]:
    return {"value": float(f"{value:.9g}"), "unit": unit}


def _kilonewtons(newtons: float) -> dict[str, Any]:
    return _quantity(newtons / 1000, "kN")


def _band(band: Band, times: float, unit: str) -> dict[str, Any]:
    ends = {"low": band.low, "likely": band.likely, "high": band.high}
    return {name: _quantity(value * times, unit) for name, value in ends.items()}


def as_lines(found: Estimated) -> list[str]:
    """The same in lines, the clamp load first."""
    thread, clamp = found.thread, found.clamp
    spoken = Spoken(found.target.unit, thread.system == "unified")
    return [
        _answer(found, spoken),
        *_nothing(found),
        *_bands(clamp, spoken),
        f"  with {_law(found.pull.laws, found.face, spoken)}",
        *([] if found.pull.tool else ["  the tool's own deviation is not counted: --tool, such as 4 %"]),
        f"{thread.name}: stress area {spoken.area(thread.stress_area)}, d2 {spoken.length(thread.pitch_diameter)}, "
        f"d3 {spoken.length(thread.minor_diameter)}",
        *_bolt(found, spoken),
        *_turn(found.turn, spoken),
    ]


def _answer(found: Estimated, spoken: Spoken) -> str:
    load = spoken.load(found.clamp.worst.likely)
    if found.wanted:
        return f"torque about {spoken.torque(found.pull.torque.likely)} for a clamp load of {load}, an estimate"
    return f"estimated clamp load {load} at {side_by_side(found.target.value, found.target.unit)}"


def _nothing(found: Estimated) -> list[str]:
    """That a torque may only turn the locking nut, which is easily read over in a band that begins at nothing."""
    if found.clamp.worst.low > 0:
        return []
    how = "even at its highest" if found.clamp.worst.high <= 0 else "at its lowest"
    return [f"The torque {how} only turns the locking nut and clamps nothing: look at --torque and --prevailing."]


def _bands(clamp: Clamp, spoken: Spoken) -> list[str]:
    if math.isclose(clamp.worst.low, clamp.worst.high):
        return ["  no band: torque and friction are given as one figure each, and neither is that sure"]
    return [_ends(clamp.worst, WORST_CASE, spoken), _ends(clamp.statistical, STATISTICAL, spoken)]


def _ends(band: Band, how: str, spoken: Spoken) -> str:
    factor = "" if band.tightening_factor is None else f", tightening factor {band.tightening_factor:.2f}"
    return f"  {spoken.ends(band)}{factor}; {how}"


def _law(laws: Laws, face: Bearing, spoken: Spoken) -> str:
    low, high = laws.low, laws.high
    if isinstance(low, NutFactor) or isinstance(high, NutFactor):
        ends = [law.value for law in (low, high) if isinstance(law, NutFactor)]
        return f"nut factor {_span(*ends)}"
    return f"friction {_span(low.thread, high.thread)} in the thread and {_rubbing(low, high, face, spoken)}"


def _rubbing(low: Friction, high: Friction, face: Bearing, spoken: Spoken) -> str:
    ring = f"{spoken.width(face.outer)} around {spoken.width(face.inner)}, {face.source}"
    return f"{_span(low.head, high.head)} under the head ({ring})"


def _span(low: float, high: float) -> str:
    first, last = (f"{value:.2f}" if round(value, 2) == value else f"{value:.3g}" for value in (low, high))
    return first if low == high else f"{first}–{last}"


def _bolt(found: Estimated, spoken: Spoken) -> list[str]:
    bolt, use = found.bolt, found.use
    if bolt is None or use is None:
        return ["The class of the bolt is not given, so what it bears is not known: --class, such as 10.9."]
    told = [
        f"{bolt.strength.name}: proof load {spoken.load(bolt.proof_load)} ({bolt.strength.source})",
        f"  of the proof load {_percent(use.of_proof)}, twist left out",
        f"  of yield while tightening, twist counted, {_percent(use.of_yield)}",
        f"  begins to yield at about {spoken.load(use.preload_at_yield)}, {spoken.torque(use.torque_at_yield)}, "
        f"{_twisted(bolt, use)}",
    ]
    if bolt.strength.note:
        told.append(f"  {bolt.strength.note}")
    if use.of_yield.high >= 1:
        how = "even at the lowest clamp load" if use.of_yield.low >= 1 else "at the high end of the band"
        told.append(f"The bolt yields {how}: less torque, a stronger class, or surer friction would be needed.")
    return told


def _twisted(bolt: Bolt, use: Use) -> str:
    """Explain why a bolt may yield below its proof load, which reads like a slip to whoever is not told."""
    if use.preload_at_yield >= bolt.proof_load:
        return "twist counted"
    return "below its proof load since friction twists it too"


def _percent(shares: Band) -> str:
    if math.isclose(shares.low, shares.high):
        return f"{shares.likely * 100:.0f}\N{NO-BREAK SPACE}%"
    ends = f"{math.floor(shares.low * 100)} to {math.ceil(shares.high * 100)}"
    return f"{shares.likely * 100:.0f}\N{NO-BREAK SPACE}% ({ends})"


def _turn(turn: AfterTurn | None, spoken: Spoken) -> list[str]:
    if turn is None:
        return []
    early, about, late = (round(math.degrees(a)) for a in (turn.earliest, turn.yields_at, turn.latest))
    ends = "" if early == late else f" ({early} to {late})"
    word = "reaches" if turn.beyond else "would reach"
    return [
        f"after the turn about {spoken.band(turn.clamp)}, an estimate",
        f"  {word} yield at about {about}°{ends}, counted from the torque on",
    ]
