"""Stage by stage, what a group's pulls do to the clamp load of each kind of its fasteners; worst case, N.

The same estimate as the one that is frozen with a run's plan, which the review does not reach for: it looks at the
procedure alone, and before any plan.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from clampbook.joint.band import Band, worst_case
from clampbook.joint.estimate import AfterTurn
from clampbook.joint.unknown import JointFault
from clampbook.procedure.clamping import ends, turned
from clampbook.procedure.fastening import Fastening, kinds, known_of
from clampbook.procedure.model import Group, Loosen, Tighten, Turn
from clampbook.review.look import Look, Placed
from clampbook.units import si


@dataclass(frozen=True, slots=True)
class Load:
    """What one round of a stage does: the clamp load after a pull, or what a turn does to the one before it."""

    placed: Placed
    fits: str | None
    fastening: Fastening
    held: Band | None
    turn: AfterTurn | None = None


def loads(look: Look, group: Group) -> Iterator[Load]:
    """Every pull and turn of a group of which the file says enough, for each kind of its fasteners."""
    if group.prevailing is not None and group.prevailing.rule == "included":
        return  # an unknown part of the torque is lost in the nut
    for fits, positions in kinds(group).items():
        fastening = known_of(group, fits).fastening
        if fastening is not None:
            yield from _of_kind(look, group, frozenset(positions), fits, fastening)


def _of_kind(
    look: Look, group: Group, positions: frozenset[str], fits: str | None, fastening: Fastening
) -> Iterator[Load]:
    held: Band | None = None
    for each in look.of(group):
        stage = each.stage
        if positions.isdisjoint(stage.positions):
            continue
        match stage:
            case Tighten(stretch=None):
                now = pulled(stage, fastening, look.procedure.unit)
                held = now if held is None or now is None or now.likely >= held.likely else held
                yield Load(each, fits, fastening, now)
            case Tighten():
                held = None
            case Turn():
                for _ in range(stage.rounds):
                    turn = turned(stage, fastening, held)
                    held = None if turn is None else turn.clamp
                    if turn is not None:
                        yield Load(each, fits, fastening, held, turn)
            case Loosen():
                held = None
            case _:
                pass


def pulled(stage: Tighten, fastening: Fastening, unit: str) -> Band | None:
    """The clamp load of a pull anywhere in its window, at any friction of the band."""
    if stage.target is None:
        return None
    target = si(stage.target, unit)
    low, high = ends(stage.window, target, unit)
    try:
        return worst_case(Band(low, target, high), fastening.thread, fastening.laws)
    except JointFault:
        return None
