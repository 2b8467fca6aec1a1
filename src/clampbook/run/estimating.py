"""Estimates of every step, made once when a run is planned and frozen with it: what its stages do to the clamp load.

Only the sheet's own figures go in: the window of the torque, the friction band, the window of the turn. The error of
the tool is not in it, since no tool is in hand yet.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from clampbook.joint.band import Band, statistical, worst_case
from clampbook.joint.estimate import AfterTurn
from clampbook.joint.stretch import SPREAD, preload_of_stretch
from clampbook.joint.tightening import preload_at_yield
from clampbook.joint.unknown import JointFault
from clampbook.procedure.clamping import ends, turned
from clampbook.procedure.fastening import Fastening, kinds, known_of
from clampbook.procedure.model import Group, Loosen, Stage, Tighten, Turn, Window
from clampbook.run.clamp_words import Estimated, estimate_line
from clampbook.run.plan import Clamping, StageClamp
from clampbook.units import si

_DIGITS = 6  # significant: far more than an estimate is good for, and the same bytes on every machine


Told = dict[tuple[str | None, int, int], str]  # position, stage, round


def clampings(
    groups: Sequence[Group], stages: Sequence[Stage], unit: str, *, trial: bool = False
) -> tuple[Clamping, ...]:
    """For each group, and each kind of fastener in it, what its stages do; nothing where the file does not say enough.

    `unit` is the sheet's torque unit; a trial leaves out what it skips.
    """
    return tuple(_clampings(groups, [stage for stage in stages if not (trial and stage.trial_skip)], unit))


def told(clamping: Sequence[Clamping]) -> Told:
    """The line for the person at each position, stage and round."""
    return {
        (position, stage.stage, stage.round): stage.told
        for each in clamping
        for stage in each.stages
        for position in each.positions
    }


def _clampings(groups: Sequence[Group], stages: Sequence[Stage], unit: str) -> Iterator[Clamping]:
    for group in groups:
        if group.prevailing is not None and group.prevailing.rule == "included":
            continue  # an unknown part of the torque is lost in the nut
        for fits, positions in kinds(group).items():
            fastening = known_of(group, fits).fastening
            if fastening is not None:
                for alike in _alike(group, positions, stages):
                    yield _clamping(group, alike, fastening, stages, unit)


def _alike(group: Group, positions: tuple[str, ...], stages: Sequence[Stage]) -> Iterator[tuple[str, ...]]:
    """The positions that go through the very same stages, together; a stage may name a few of its group alone."""
    worked = [frozenset(stage.positions) for stage in stages if stage.group == group.name]
    found: dict[tuple[bool, ...], list[str]] = {}
    for position in positions:
        found.setdefault(tuple(position in inside for inside in worked), []).append(position)
    yield from (tuple(alike) for alike in found.values())


def _clamping(
    group: Group, positions: tuple[str, ...], fastening: Fastening, stages: Sequence[Stage], unit: str
) -> Clamping:
    bolt, thread = fastening.bolt, fastening.thread
    each = worst_case(Band(1.0, 1.0, 1.0), thread, fastening.laws)
    inner = statistical(Band(1.0, 1.0, 1.0), thread, fastening.laws)
    return Clamping(
        group=group.name,
        positions=positions,
        thread=thread.name,
        each_newton_metre=(_short(each.low), _short(each.likely), _short(each.high)),
        each_newton_metre_statistical=(_short(inner.low), _short(inner.high)),
        proof_load=None if bolt is None else _short(bolt.proof_load),
        stages=tuple(_stages(group, set(positions), fastening, stages, unit)),
        each_millimetre=None if fastening.springs is None else _short(0.001 / fastening.springs.bolt),
    )


def _stages(
    group: Group, positions: set[str], fastening: Fastening, stages: Sequence[Stage], unit: str
) -> Iterator[StageClamp]:
    """Stage after stage, round after round; a loosening begins anew, and less torque than before changes nothing."""
    held: Band | None = None
    proof = None if fastening.bolt is None else fastening.bolt.proof_load
    for stage in stages:
        if stage.group != group.name or positions.isdisjoint(stage.positions):
            continue
        for number in range(1, getattr(stage, "rounds", 1) + 1):
            turn: AfterTurn | None = None
            match stage:
                case Tighten():
                    now = _pulled(group, fastening, stage, unit)
                    held = now if held is None or now is None or now.likely >= held.likely else held
                case Turn():
                    turn = turned(stage, fastening, held)
                    held = None if turn is None else turn.clamp
                case Loosen():
                    held = None
                    continue
                case _:
                    continue
            if held is not None:
                yield _stage(stage.number, number, held, proof, turn)


def _stage(stage: int, number: int, held: Band, proof: float | None, turn: AfterTurn | None) -> StageClamp:
    found = Estimated(
        held.low,
        held.likely,
        held.high,
        None if proof is None else held.likely / proof,
        None if turn is None else math.degrees(turn.yields_at),
        turn is not None and turn.beyond,
    )
    return StageClamp(
        stage=stage,
        round=number,
        low=_short(held.low),
        likely=_short(held.likely),
        high=_short(held.high),
        yields_at=None if found.yields_at is None else _short(found.yields_at),
        told=estimate_line(found),
    )


def _pulled(group: Group, fastening: Fastening, stage: Tighten, unit: str) -> Band | None:
    """The clamp load of a pull within its window; where the stretch is the target, that of the stretch."""
    if stage.stretch is not None:
        return _stretched(fastening, stage.stretch.window)
    if stage.target is None:
        return None
    target = si(stage.target, unit)
    low, high = ends(stage.window, target, unit)
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


def _short(value: float) -> float:
    return float(f"{value:.{_DIGITS}g}")
