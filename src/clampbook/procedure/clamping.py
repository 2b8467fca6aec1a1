"""The clamp load of a bolt after each stage of a file, for a plan's estimates and for the review.

Only the sheet's own figures go in: the window of the torque, the friction band, the window of the turn. The error of
the tool is not in it, since no tool is in hand yet.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence
from typing import assert_never

from msgspec import Struct

from clampbook.joint.band import Band, worst_case
from clampbook.joint.estimate import AfterTurn, after_turn
from clampbook.joint.stretch import SPREAD, preload_of_stretch
from clampbook.joint.tightening import preload_at_yield
from clampbook.joint.unknown import JointFault
from clampbook.procedure.fastening import Fastening, kinds, known_of
from clampbook.procedure.model import (
    Align,
    Attested,
    Group,
    Loosen,
    Measure,
    Recheck,
    Stage,
    Stretch,
    Tighten,
    Turn,
    Window,
)
from clampbook.units import Kind, kind_of, si

_OF_A_BOLT = re.compile(r"\b(?:lengths?|stretch|elongation)\b", re.IGNORECASE)


class Alike(Struct, frozen=True):
    """Alike fasteners of a group of which enough is known: what fits there, at which positions."""

    fits: str | None
    positions: tuple[str, ...]
    fastening: Fastening


class Achieved(Struct, frozen=True):
    """One round of a stage, worst case in N: the clamp load that is held after it, what its pull alone would bring, and
    what its turn does. `at` is the place of the stage among those that were followed."""

    at: int
    round: int
    held: Band | None
    pulled: Band | None = None
    turn: AfterTurn | None = None


def known_kinds(group: Group) -> Iterator[Alike]:
    """The kinds of fasteners of a group whose clamp load can be estimated."""
    if group.prevailing is not None and group.prevailing.rule == "included":
        return  # an unknown part of the torque is lost in the nut
    for fits, positions in kinds(group).items():
        fastening = known_of(group, fits).fastening
        if fastening is not None:
            yield Alike(fits, positions, fastening)


def followed(group: Group, kind: Alike, stages: Sequence[Stage], unit: str) -> Iterator[Achieved]:
    """Stage after stage, round after round; a loosening begins anew, and less torque than before changes nothing.

    `unit` is the sheet's torque unit. Stages that say nothing of the clamp load of these positions are passed over.
    """
    held: Band | None = None
    own = frozenset(kind.positions)
    for at, stage in enumerate(stages):
        if stage.group != group.name or own.isdisjoint(stage.positions):
            continue
        if isinstance(stage, Attested):
            continue
        match stage:
            case Tighten():
                now = _pulled(group, kind.fastening, stage, unit)
                held = now if held is None or now is None or now.likely >= held.likely else held
                for number in range(1, stage.rounds + 1):
                    yield Achieved(at, number, held, pulled=now)
            case Turn():
                for number in range(1, stage.rounds + 1):
                    turn = _turned(stage, kind.fastening, held)
                    held = None if turn is None else turn.clamp
                    yield Achieved(at, number, held, turn=turn)
            case Measure():
                window = stretch_window(stage)
                found = None if window is None else _stretched(kind.fastening, window)
                if held is not None and found is not None:
                    held = found  # better known than by torque
                    yield Achieved(at, 1, held)
            case Loosen():
                held = None
            case Align() | Recheck():  # how far a slot is, nobody knows before
                pass
            case _ as never:
                assert_never(never)


def stretch_window(stage: Stage) -> Window | None:
    """Between which ends a stage wants the stretch of a bolt: as its target, or measured after the pull as a length
    less one that was measured before. None where it has nothing of the kind."""
    if isinstance(stage, Attested):
        return None
    match stage:
        case Tighten(stretch=Stretch(window=window)):
            return window
        case Measure(minus=str(), asked="each", points=(), window=Window() as window) if _OF_A_BOLT.search(stage.what):
            return window if kind_of(stage.unit) == Kind.LENGTH else None
        case Tighten() | Turn() | Align() | Loosen() | Recheck() | Measure():
            return None
        case _ as never:
            assert_never(never)


def _pulled(group: Group, fastening: Fastening, stage: Tighten, unit: str) -> Band | None:
    """The clamp load of a pull anywhere in its window, at any friction; that of the stretch where it is the target."""
    if stage.stretch is not None:
        return _stretched(fastening, stage.stretch.window)
    if stage.target is None:
        return None
    target = si(stage.target, unit)
    low, high = _ends(stage.window, target, unit)
    if group.prevailing is not None and group.prevailing.rule == "from a third":
        low = low * 2 / 3  # up to a third of the target may be lost in the nut and is not added
    try:
        return worst_case(Band(low, target, high), fastening.thread, fastening.laws)
    except JointFault:
        return None


def _stretched(fastening: Fastening, window: Window) -> Band | None:
    """The clamp load of a stretch between two ends, level from yield on."""
    if fastening.springs is None or window.low is None or window.high is None:
        return None
    low, high = (preload_of_stretch(si(end, window.unit), fastening.springs.bolt) for end in (window.low, window.high))
    most = math.inf if fastening.bolt is None else preload_at_yield(fastening.bolt, fastening.laws.likely)
    return Band(*(min(most, each) for each in (low * (1 - SPREAD), (low + high) / 2, high * (1 + SPREAD))))


def _turned(stage: Turn, fastening: Fastening, held: Band | None) -> AfterTurn | None:
    """Give the clamp load after a turn; None where the load before it, the bolt or the clamped parts are not known."""
    if held is None or fastening.bolt is None or fastening.springs is None:
        return None
    target = si(stage.target, "°")
    low, high = _ends(stage.window, target, "°")
    try:
        return after_turn(held, Band(low, target, high), fastening.laws, fastening.bolt, fastening.springs)
    except JointFault:
        return None


def _ends(window: Window, target: float, unit: str) -> tuple[float, float]:
    """Both ends of a window in SI, an open one at the target itself."""
    low = target if window.low is None else si(window.low, unit)
    high = target if window.high is None else si(window.high, unit)
    return max(0.0, low), high
