"""From what is uncertain to a band of preload: friction, the torque window and the tool, together.

Two ways of putting them together, never one for the other: the worst case, where everything goes the same way, and
the statistical one, where independent errors partly cancel.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from msgspec import Struct

from clampbook.joint.threads import Thread
from clampbook.joint.torque import Friction, Law, NutFactor, arm, preload_of
from clampbook.joint.unknown import JointFault
from clampbook.statistical import COVERAGE, combined, rectangular

WORST_CASE = "worst case: torque, friction and tool all at their ends, the same way"
STATISTICAL = "statistical: independent errors of even spread, about 95 % of pulls"


class Band(Struct, frozen=True):
    """Low, likely and high of one quantity. Raises JointFault unless they stand in this order, from zero on."""

    low: float
    likely: float
    high: float

    def __post_init__(self) -> None:
        if not 0 <= self.low <= self.likely <= self.high < math.inf:
            raise JointFault(
                f"{self.low:g}, {self.likely:g}, {self.high:g} do not make a band: "
                "the lowest comes first, the highest last, all zero or more."
            )

    @property
    def tightening_factor(self) -> float | None:
        """α_A = high/low; None where low is nothing. Source: VDI 2230 Part 1:2003, 5.4.3 and Table A8."""
        return self.high / self.low if self.low > 0 else None

    def over(self, whole: float) -> Band:
        """The band as shares of a whole above zero."""
        return Band(self.low / whole, self.likely / whole, self.high / whole)


def plus_minus(middle: float, share: float = 0.0) -> Band:
    """middle ± share of it, such as a friction of 0.12 ± 10 %. Raises JointFault unless 0 ≤ share ≤ 1."""
    if not 0 <= share <= 1:
        raise JointFault(f"A spread of {share:g} is not possible here: 0.04 means ±4 %, and it lies between 0 and 1.")
    return Band(middle * (1 - share), middle, middle * (1 + share))


class Laws(Struct, frozen=True):
    """The law between torque and preload at its lowest, middle and highest friction.

    With the long form the two frictions are independent of each other. Build it with `by_nut_factor` or `by_friction`.
    """

    low: Law
    likely: Law
    high: Law


def by_nut_factor(low: float, high: float | None = None, likely: float | None = None) -> Laws:
    """Nut factors from lowest to highest; the likely one is the middle where it is not given. Raises JointFault."""
    band = _ordered("nut factors", low, likely, high)
    return Laws(NutFactor(band.low), NutFactor(band.likely), NutFactor(band.high))


def by_friction(thread: tuple[float, float], head: tuple[float, float], like: Friction) -> Laws:
    """Frictions from lowest to highest in thread and under head; `like` gives bearing face and flank angle.

    Likely are the middles. Raises JointFault.
    """
    threads, heads = (_ordered("frictions", pair[0], None, pair[1]) for pair in (thread, head))
    pairs = ((threads.low, heads.low), (threads.likely, heads.likely), (threads.high, heads.high))
    low, likely, high = (Friction(t, h, like.bearing, like.flank_angle) for t, h in pairs)
    return Laws(low, likely, high)


def _ordered(what: str, low: float, likely: float | None, high: float | None) -> Band:
    last = low if high is None else high
    if not low <= last:
        raise JointFault(f"The {what} {low:g} and {last:g} stand in the wrong order: the lower one comes first.")
    return Band(low, (low + last) / 2 if likely is None else likely, last)


def worst_case(torque: Band, thread: Thread, laws: Laws, tool: float = 0.0, prevailing: float = 0.0) -> Band:
    """Preload in N with everything at its end the same way; `torque` in N·m, `tool` the tool's ± share of a reading.

    Low: lowest torque less the tool's error at highest friction; high: the other way. Likely: likely torque at middle
    friction. Source: the definition of F_M,min and F_M,max in VDI 2230 Part 1:2003, 5.4.3. Raises JointFault.
    """
    errors = plus_minus(1.0, tool)
    return Band(
        preload_of(torque.low * errors.low, thread, laws.high, prevailing),
        preload_of(torque.likely, thread, laws.likely, prevailing),
        preload_of(torque.high * errors.high, thread, laws.low, prevailing),
    )


def statistical(torque: Band, thread: Thread, laws: Laws, tool: float = 0.0, prevailing: float = 0.0) -> Band:
    """Preload in N where independent errors are combined by the root of their squares, never wider than `worst_case`.

    Each source is even between its ends (standard uncertainty: half width/√3) and acts in proportion; the band is
    likely × exp(± 2 u), so that it never reaches zero. Source: JCGM 100:2008, 4.3.7, 5.1.2 and 6.2 (k = 2), in
    proportions. Raises JointFault.
    """
    outer = worst_case(torque, thread, laws, tool, prevailing)
    if not outer.likely:
        return outer
    u = combined(*_standard_shares(torque, thread, laws, tool, prevailing))
    low, high = outer.likely * math.exp(-COVERAGE * u), outer.likely * math.exp(COVERAGE * u)
    return Band(max(outer.low, low), outer.likely, min(outer.high, high))


def _standard_shares(torque: Band, thread: Thread, laws: Laws, tool: float, prevailing: float) -> Iterator[float]:
    """The standard uncertainty of each source as a share of the preload."""
    clamping = torque.likely - prevailing
    yield rectangular((torque.high - torque.low) / 2 / clamping)
    yield rectangular(tool * torque.likely / clamping)
    middle = arm(thread, laws.likely)
    for lowest, highest in _one_at_a_time(laws):
        yield rectangular((arm(thread, highest) - arm(thread, lowest)) / 2 / middle)


def _one_at_a_time(laws: Laws) -> Iterator[tuple[Law, Law]]:
    """The law with one friction at its ends and the other in the middle, for each of them."""
    low, likely, high = laws.low, laws.likely, laws.high
    if isinstance(low, Friction) and isinstance(likely, Friction) and isinstance(high, Friction):
        face, flank = likely.bearing, likely.flank_angle
        yield Friction(low.thread, likely.head, face, flank), Friction(high.thread, likely.head, face, flank)
        yield Friction(likely.thread, low.head, face, flank), Friction(likely.thread, high.head, face, flank)
    else:
        yield low, high
