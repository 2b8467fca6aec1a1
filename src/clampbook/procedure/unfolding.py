"""Groups and stages of a procedure unfolded once for each of several joints.

A procedure is written, read and reviewed as one joint. What is planned from it has each group and each stage once for
each joint, and whoever works on the plan meets ordinary groups, positions and stages.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence, Set
from itertools import groupby
from typing import NamedTuple, assert_never

from msgspec import UNSET, Struct, UnsetType
from msgspec.structs import replace

from clampbook.procedure.model import (
    LAST_PULL,
    Align,
    Attested,
    FastenerSet,
    Group,
    Inspect,
    Joints,
    Loosen,
    Measure,
    Part,
    Recheck,
    Stage,
    Tighten,
    Turn,
    Wait,
)
from clampbook.procedure.naming import OF_JOINT, called, key_of, of_joint, within_a_sentence


class JointPlanned(Struct, frozen=True, kw_only=True):
    """One of several joints as it is planned: its whole name, what its positions begin with, its groups in the order of
    the file, and the numbers of its stages."""

    name: str
    key: str
    groups: tuple[str, ...]
    stages: tuple[int, ...]


class Several(Struct, frozen=True, kw_only=True):
    """All joints of a run in their order; `groups` are the names of the groups as the file has them, `left_out` the
    whole names of the joints that this run leaves to another; absent where it does all."""

    walk: str
    groups: tuple[str, ...]
    joints: tuple[JointPlanned, ...]
    left_out: tuple[str, ...] | UnsetType = UNSET


class Unfolded(Struct, frozen=True):
    """Groups, stages and parts of all joints together."""

    groups: tuple[Group, ...]
    stages: tuple[Stage, ...]
    parts: tuple[Part, ...]
    several: Several


class _Laid(NamedTuple):
    """A stage as it comes: at the joint of this place, or at all where there is none; `first`: its caution is read."""

    stage: Stage
    place: int | None
    first: bool


def unfolded(
    groups: Sequence[Group],
    stages: Sequence[Stage],
    parts: Sequence[Part],
    several: Joints,
    left_out: Sequence[str] = (),
) -> Unfolded:
    """Each group and stage once for each joint, in the order in which the joints are walked; none for those `left_out`,
    by their names in the file."""
    named = [(called(several.one, name), key_of(name)) for name in several.names if name not in left_out]
    laid = tuple(_interleaved(stages, len(named)) if several.walk == "interleaved" else _in_turn(stages, len(named)))
    own = [[number for number, each in enumerate(laid, 1) if each.place == place] for place in range(len(named))]
    return Unfolded(
        tuple(_group(group, joint, key) for joint, key in named for group in groups),
        tuple(_numbered(laid, named)),
        tuple(replace(part, needed=part.needed and part.needed * len(named)) for part in parts),
        Several(
            walk=several.walk,
            groups=tuple(group.name for group in groups),
            joints=tuple(
                JointPlanned(
                    name=joint,
                    key=key,
                    groups=tuple(of_joint(joint, group.name) for group in groups),
                    stages=tuple(numbers),
                )
                for (joint, key), numbers in zip(named, own, strict=True)
            ),
            left_out=tuple(called(several.one, name) for name in left_out) or UNSET,
        ),
    )


def _numbered(laid: Sequence[_Laid], named: Sequence[tuple[str, str]]) -> Iterator[Stage]:
    """The stages with their numbers in the plan, at the joints of these names and keys."""
    for_all = frozenset(stage.id for stage, place, _ in laid if place is None)
    blocks: dict[tuple[int, int], int] = {}
    numbers: dict[tuple[int | None, int], int] = {}  # by joint and number in the file
    for number, (stage, place, first) in enumerate(laid, 1):
        made = stage if place is None else _stage(stage, *named[place], for_all)
        if isinstance(made, Measure) and made.adjust:  # back to the stage of the same joint
            back = numbers.get((place, made.adjust.back_to)) or numbers[None, made.adjust.back_to]
            made = replace(made, adjust=replace(made.adjust, back_to=back))
        numbers[place, stage.number] = number
        if stage.block is not None:
            made = replace(made, block=blocks.setdefault((place or 0, stage.block), len(blocks) + 1))
        yield replace(made, number=number, caution=stage.caution if first else None)


def _in_turn(stages: Sequence[Stage], count: int) -> Iterator[_Laid]:
    """All stages of a joint, then all of the next; cautions are read again, as the next joint comes much later."""
    yield from (_Laid(stage, place, first=True) for place in range(count) for stage in stages)


def _interleaved(stages: Sequence[Stage], count: int) -> Iterator[_Laid]:
    """Each stage, or each block of steps, at all joints before the next; one wait for all of them, and each caution
    before the first joint alone, as the others follow at once."""
    for block, members in groupby(stages, key=lambda stage: stage.block):
        together = list(members)
        for run in [together] if block is not None else [[stage] for stage in together]:
            if block is None and isinstance(run[0], Wait):
                yield _Laid(run[0], None, first=True)
                continue
            yield from (_Laid(stage, place, first=place == 0) for place in range(count) for stage in run)


def _stage(stage: Stage, joint: str, key: str, for_all: Set[str | None]) -> Stage:
    """A stage as it is at one joint. What is asked of the joint as a whole names it. A wait `for_all` of them keeps its
    id, as there is one of it."""
    made = replace(
        stage,
        id=None if stage.id is None else of_joint(joint, stage.id),
        group=None if stage.group is None else of_joint(joint, stage.group),
        positions=_positions(stage.positions, key),
    )
    if isinstance(made, Wait):
        return made if made.since in for_all else replace(made, since=_of_stage(joint, made.since))
    if isinstance(made, Inspect):
        return made if made.at_each else replace(made, ask=f"{joint}: {within_a_sentence(made.ask)}")
    if isinstance(made, Attested):
        return made
    match made:
        case Measure():
            what = made.what if made.at_each else of_joint(joint, made.what)
            return replace(made, what=what, minus=_of_stage(joint, made.minus))
        case Tighten(stretch=stretch):
            own = None if stretch is None else replace(stretch, minus=_of_stage(joint, stretch.minus))
            return replace(made, stretch=own)
        case Turn() | Align() | Loosen() | Recheck():
            return made
        case _ as never:
            assert_never(never)


def _of_stage(joint: str, id: str | None) -> str | None:
    """The id of a stage as that of the same joint."""
    return id if id in (None, LAST_PULL) else of_joint(joint, id)


def _group(group: Group, joint: str, key: str) -> Group:
    return replace(
        group,
        name=of_joint(joint, group.name),
        one=None if group.one is None else of_joint(joint, group.one),
        positions=_positions(group.positions, key),
        order=_positions(group.order, key),
        fits={f"{key}{OF_JOINT}{position}": fits for position, fits in group.fits.items()},
        sets=tuple(
            FastenerSet(name=of_joint(joint, each.name), positions=_positions(each.positions, key))
            for each in group.sets
        ),
        neighbours={
            f"{key}{OF_JOINT}{position}": _positions(beside, key) for position, beside in group.neighbours.items()
        },
    )


def _positions(positions: Sequence[str], key: str) -> tuple[str, ...]:
    return tuple(f"{key}{OF_JOINT}{position}" for position in positions)
