"""Estimates of every step, made once when a run is planned and frozen with it: what its stages do to the clamp load."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from msgspec import structs

from clampbook.joint.band import Band, statistical, worst_case
from clampbook.joint.estimate import AfterTurn
from clampbook.procedure.clamping import Alike, followed, known_kinds
from clampbook.procedure.model import Group, Stage
from clampbook.run.plan import Clamping, StageClamp

_DIGITS = 6  # significant: far more than an estimate is good for, and the same bytes on every machine


def clampings(
    groups: Sequence[Group], stages: Sequence[Stage], unit: str, *, trial: bool = False
) -> tuple[Clamping, ...]:
    """For each group, and each kind of fastener in it, what its stages do; nothing where the file does not say enough.

    `unit` is the sheet's torque unit; a trial leaves out what it skips.
    """
    return tuple(_clampings(groups, [stage for stage in stages if not (trial and stage.trial_skip)], unit))


def _clampings(groups: Sequence[Group], stages: Sequence[Stage], unit: str) -> Iterator[Clamping]:
    for group in groups:
        for kind in known_kinds(group):
            for alike in _alike(group, kind.positions, stages):
                yield _clamping(group, structs.replace(kind, positions=alike), stages, unit)


def _alike(group: Group, positions: tuple[str, ...], stages: Sequence[Stage]) -> Iterator[tuple[str, ...]]:
    """The positions that go through the very same stages, together; a stage may name a few of its group alone."""
    worked = [frozenset(stage.positions) for stage in stages if stage.group == group.name]
    found: dict[tuple[bool, ...], list[str]] = {}
    for position in positions:
        found.setdefault(tuple(position in inside for inside in worked), []).append(position)
    yield from (tuple(alike) for alike in found.values())


def _clamping(group: Group, kind: Alike, stages: Sequence[Stage], unit: str) -> Clamping:
    bolt, thread, laws = kind.fastening.bolt, kind.fastening.thread, kind.fastening.laws
    springs = kind.fastening.springs
    each = worst_case(Band(1.0, 1.0, 1.0), thread, laws)
    inner = statistical(Band(1.0, 1.0, 1.0), thread, laws)
    proof = None if bolt is None else bolt.proof_load
    return Clamping(
        group=group.name,
        positions=kind.positions,
        thread=thread.name,
        each_newton_metre=(_short(each.low), _short(each.likely), _short(each.high)),
        each_newton_metre_statistical=(_short(inner.low), _short(inner.high)),
        proof_load=None if proof is None else _short(proof),
        stages=tuple(
            _stage(stages[step.at].number, step.round, step.held, step.turn)
            for step in followed(group, kind, stages, unit)
            if step.held is not None
        ),
        each_millimetre=None if springs is None else _short(0.001 / springs.bolt),
    )


def _stage(stage: int, number: int, held: Band, turn: AfterTurn | None) -> StageClamp:
    return StageClamp(
        stage=stage,
        round=number,
        low=_short(held.low),
        likely=_short(held.likely),
        high=_short(held.high),
        yields_at=None if turn is None else _short(math.degrees(turn.yields_at)),
        beyond=turn is not None and turn.beyond,
        each_degree=None if turn is None else _short(turn.each_radian * math.radians(1)),
        levels_at=None if turn is None else _ends(turn.levels_at),
    )


def _ends(band: Band) -> tuple[float, float, float]:
    return _short(band.low), _short(band.likely), _short(band.high)


def _short(value: float) -> float:
    return float(f"{value:.{_DIGITS}g}")
