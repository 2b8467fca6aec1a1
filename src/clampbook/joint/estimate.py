"""Estimate of the clamp load that one pull achieves, with its bands, from everything that is known of it."""

from __future__ import annotations

from msgspec import Struct

from clampbook.joint.band import Band, Laws, statistical, worst_case
from clampbook.joint.threads import Thread
from clampbook.joint.tightening import Bolt, preload_at_yield, share_of_yield
from clampbook.joint.torque import Law, torque_of
from clampbook.joint.turning import Springs, rise_by, turned


class Pull(Struct, frozen=True):
    """A torque in N·m, how it becomes clamp load, the tool's ± share of it, and the N·m that a locking nut takes."""

    torque: Band
    laws: Laws
    tool: float = 0.0
    prevailing: float = 0.0


class Clamp(Struct, frozen=True):
    """An estimated clamp load in N, put together in two ways that are never mixed."""

    worst: Band
    statistical: Band


class Use(Struct, frozen=True):
    """Share of the bolt that a clamp load uses; shares are of the worst-case band.

    `of_proof` is F over the proof load; `of_yield` counts the twist while tightening too, each end of the band at the
    friction that makes it. `torque_at_yield` (N·m) is where the bolt yields at likely friction, `preload_at_yield` (N)
    the clamp load there.
    """

    of_proof: Band
    of_yield: Band
    preload_at_yield: float
    torque_at_yield: float


def clamp_of(pull: Pull, thread: Thread) -> Clamp:
    """The clamp load of a pull. Raises JointFault where a figure is not possible. Sources: `joint.band`."""
    parts = (pull.torque, thread, pull.laws, pull.tool, pull.prevailing)
    return Clamp(worst_case(*parts), statistical(*parts))


def use_of(clamp: Clamp, pull: Pull, bolt: Bolt) -> Use:
    """Share of the bolt that a clamp load uses. Sources: `joint.tightening`."""
    worst, laws = clamp.worst, pull.laws
    at_yield = preload_at_yield(bolt, laws.likely)
    return Use(
        worst.over(bolt.proof_load),
        _shares(worst, laws, bolt),
        at_yield,
        torque_of(at_yield, bolt.thread, laws.likely, pull.prevailing),
    )


def _shares(worst: Band, laws: Laws, bolt: Bolt) -> Band:
    """The share of yield at each end, where the lowest clamp load comes with the highest friction."""
    pairs: tuple[tuple[float, Law], ...] = ((worst.low, laws.high), (worst.likely, laws.likely), (worst.high, laws.low))
    shares = sorted(share_of_yield(preload, bolt, law) for preload, law in pairs)
    return Band(*shares)


class AfterTurn(Struct, frozen=True):
    """Clamp load in N that a turn adds to a snug joint, worst case, and the angle in rad where the bolt yields.

    `yields_at` is for likely figures, `earliest` and `latest` for the ends of the band; `beyond` says whether the
    turn goes beyond `yields_at`, `surely` whether it goes beyond `latest`. `each_radian` is the elastic rise in N, and
    `levels_at` the clamp load in N at which the low, the likely and the high end go on level.
    """

    clamp: Band
    yields_at: float
    earliest: float
    latest: float
    beyond: bool
    surely: bool
    each_radian: float
    levels_at: Band


def after_turn(snug: Band, angle: Band, laws: Laws, bolt: Bolt, springs: Springs) -> AfterTurn:
    """A turn (rad) from a snug clamp load (N): elastic up to yield and level from there on.

    The low end takes the class at its least and the most twist; the high end the tensile strength and the least twist,
    since real bolts are stronger than their class promises. How the springs themselves scatter (some ± 15 %, common
    practice, no source) is not in it. Sources: `joint.turning`, `joint.tightening`. Raises JointFault.
    """
    thread = bolt.thread
    weak, usual, strong = (preload_at_yield(bolt, law) for law in (laws.high, laws.likely, laws.low))
    at_most = strong * bolt.strength.tensile / bolt.strength.yield_
    low = turned(snug.low, angle.low, thread, springs, weak)
    likely = turned(snug.likely, angle.likely, thread, springs, usual)
    high = turned(snug.high, angle.high, thread, springs, at_most)
    ends = sorted((low.yields_at, turned(snug.high, angle.high, thread, springs, strong).yields_at))
    return AfterTurn(
        Band(low.preload, likely.preload, high.preload),
        likely.yields_at,
        min(ends[0], likely.yields_at),
        max(ends[1], likely.yields_at),
        likely.yields,
        angle.low > max(ends[1], likely.yields_at),
        rise_by(1.0, thread, springs),
        Band(weak, usual, at_most),
    )
