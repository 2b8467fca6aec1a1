"""Gaps that keep from an estimate of the clamp load, and which key of the file would bring it."""

from __future__ import annotations

from collections.abc import Collection, Iterator

from clampbook.procedure.fastening import CLAMP, TURN, Lack, kinds, known_of
from clampbook.procedure.model import Group, Tighten, Turn
from clampbook.review.assumed_friction import has_friction, with_any_friction
from clampbook.review.codes import Code
from clampbook.review.look import Look, Raised
from clampbook.text import quoted

_SUCH_AS = {
    "thread": 'thread = "M10x1.25"',
    "friction": "nut_factor = [0.16, 0.22], or friction",
    "property_class": 'property_class = "8.8"',
    "strength": 'strength = { proof = "600 MPa", yield = "700 MPa", tensile = "900 MPa", source = "manual, page 12" }',
    "clamped": 'clamped = ["72 mm steel"]',
    "waist": 'waist = "8.5 mm"',
}


def lacking(look: Look) -> Iterator[Raised]:
    """One question for each group of which an estimate at its steps is not possible, or not whole."""
    for at, group in look.groups:
        lacks = {each.key: each for fits in kinds(group) for each in _lacks(look, group, fits)}
        if lacks:
            gives = " and ".join(_gives(lacks.values()))
            keys = ", ".join(lacks)
            first = next(iter(lacks))
            yield Raised(
                (*at, first),
                Code.NO_ESTIMATE,
                f"the {gives} of {quoted(group.name)} cannot be estimated. "
                + " ".join(each.why for each in lacks.values()).removesuffix("."),
                found=f"no {keys}, or none that is known",
                allowed=keys,
                hint=f"add to the group what the manual has, like {', '.join(_SUCH_AS.get(key, key) for key in lacks)}",
                or_key="property_class" if first == "strength" else None,  # which names what no table has
            )


def _gives(lacks: Collection[Lack]) -> tuple[str, ...]:
    """Estimates that cannot be made, each once; where there is no clamp load at all, there is none after a turn."""
    found = dict.fromkeys(each.gives for each in lacks)
    return tuple(each for each in found if each != TURN or CLAMP not in found)


def _lacks(look: Look, group: Group, fits: str | None) -> Iterator[Lack]:
    stages = [each.stage for each in look.of(group)]
    pulls = any(isinstance(stage, Tighten | Turn) for stage in stages)
    gives_way = any(isinstance(stage, Turn) or (isinstance(stage, Tighten) and stage.stretch) for stage in stages)
    if not pulls or (group.prevailing is not None and group.prevailing.rule == "included"):
        return
    # What comes after friction is lacking all the same, and is told at once.
    later = () if has_friction(group) else known_of(with_any_friction(group), fits).lacks
    for lack in (*known_of(group, fits).lacks, *later):
        if lack.gives != TURN or gives_way:
            yield lack
