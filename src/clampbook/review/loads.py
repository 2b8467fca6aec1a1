"""Clamp loads that a group's pulls and turns bring, beside the places where they stand in the file."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from clampbook.joint.band import Band
from clampbook.joint.estimate import AfterTurn
from clampbook.procedure.clamping import followed, known_kinds
from clampbook.procedure.fastening import Fastening
from clampbook.procedure.model import Group, Tighten
from clampbook.review.look import Look, Placed


@dataclass(frozen=True, slots=True)
class Load:
    """One round of a stage, worst case in N: the clamp load of a pull by torque, or what a turn adds."""

    placed: Placed
    fits: str | None
    fastening: Fastening
    pulled: Band | None
    turn: AfterTurn | None


def loads(look: Look, group: Group) -> Iterator[Load]:
    """Every pull and turn of a group of which the file says enough, for each kind of its fasteners.

    What is pulled until it has stretched enough is left out: its torque is not what it is judged by.
    """
    placed = look.of(group)
    stages = [each.stage for each in placed]
    for kind in known_kinds(group):
        for step in followed(group, kind, stages, look.procedure.unit):
            each = placed[step.at]
            by_stretch = isinstance(each.stage, Tighten) and each.stage.stretch is not None
            if not by_stretch and (step.pulled is not None or step.turn is not None):
                yield Load(each, kind.fits, kind.fastening, step.pulled, step.turn)
