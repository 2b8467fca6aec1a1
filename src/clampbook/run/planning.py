"""From a procedure to the frozen plan of a run: every step in order, named, with its target and window."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from itertools import groupby

from msgspec import UNSET, UnsetType
from msgspec.structs import replace

from clampbook import units
from clampbook.ledger.formats import FORMAT
from clampbook.procedure import release
from clampbook.procedure.model import (
    FastenerSet,
    FollowUp,
    Group,
    Measure,
    Procedure,
    Stage,
)
from clampbook.procedure.naming import called
from clampbook.procedure.unfolding import Several, unfolded
from clampbook.run import kinds
from clampbook.run.one_use import asked_new
from clampbook.run.plan import DueLater, Plan, Step
from clampbook.run.told.estimating import clampings
from clampbook.text import quoted

BLOCK_OF_EACH_FOUR = 4
_OF_LATER_WORK = (
    "equipment",
    "usage",
)  # asked at a follow-up too: on what, where that is not known, and after how much


@dataclass(frozen=True, slots=True)
class _Cell:
    """A step before it is numbered; `within` tells apart what must be settled before the next begins."""

    stage: Stage
    round: int
    position: str | None
    set: str | None
    point: str | None
    within: tuple[object, ...]


def plan(
    procedure: Procedure,
    slug: str,
    *,
    trial: bool = False,
    joint: str | None = None,
    follow_up: str | None = None,
    only: Sequence[str] = (),
    late: bool = False,
) -> Plan:
    """The plan of one run; `joint` is one of `repeat`, `follow_up` the title of one of the follow-ups, `only` the
    joints of several that are done; none named means all. `late`: it is typed in from a paper form.

    Raises ValueError with a sentence where a joint or the follow-up is not one of the procedure's.
    """
    _is_one_of_its_joints(procedure, joint)
    left_out = _left_out(procedure, only)
    work = _follow_up(procedure, follow_up) if follow_up is not None else None
    stages, groups, parts = work.stages if work else procedure.stages, procedure.groups, procedure.parts
    several: Several | UnsetType = UNSET
    if procedure.joints is not None:
        every = unfolded(groups, stages, parts, procedure.joints, left_out)
        stages, groups, parts, several = every.stages, every.groups, every.parts, every.several
    # A follow-up begins with whatever the first run left, of which its own stages say nothing.
    clamping = () if work else clampings(groups, stages, procedure.unit, trial=trial)
    planned = Plan(
        plan=FORMAT,
        title=procedure.title,
        slug=slug,
        revision=procedure.revision,
        status=procedure.status,
        source=procedure.source,
        unit=procedure.unit,
        trial=trial,
        joint=joint,
        follow_up=follow_up,
        pause_limit=procedure.pause_limit,
        cautions=procedure.cautions,
        asks=tuple(ask for ask in procedure.asks if ask.searched_as in _OF_LATER_WORK) if work else procedure.asks,
        parts=() if work else parts,
        layout=procedure.layout,
        groups=groups,
        stages=stages,
        steps=tuple(_steps(procedure.unit, groups, stages, trial)),
        sign_off=() if trial else procedure.sign_off,
        due_later=() if work or trial else tuple(_due(each) for each in procedure.follow_ups),
        released=release.told(procedure),
        look_again_by=release.look_again_by(procedure),
        not_released=release.not_released(procedure),
        accept=procedure.accept,
        clamping=clamping,
        accepted_queries=procedure.accepted,
        several=several,
        from_paper=True if late else UNSET,
    )
    return replace(planned, asked_new=asked_new(planned) or UNSET)


def _is_one_of_its_joints(procedure: Procedure, joint: str | None) -> None:
    if joint is not None and joint not in procedure.repeat:
        known = ", ".join(procedure.repeat) or "one only"
        raise ValueError(f"{procedure.title} has no joint {quoted(joint)}. It has {known}.")


def _left_out(procedure: Procedure, only: Sequence[str]) -> tuple[str, ...]:
    """The joints that are not among those named, by their names in the file; each may be named in whole as well."""
    several = procedure.joints
    known = {} if several is None else {called(several.one, name): name for name in several.names}
    strange = next((name for name in only if name not in known and name not in known.values()), None)
    if strange is not None:
        there = ", ".join(known) or "one only"
        raise ValueError(f"{procedure.title} has no joint {quoted(strange)}. It has {there}.")
    return tuple(name for whole, name in known.items() if only and name not in only and whole not in only)


def _follow_up(procedure: Procedure, title: str) -> FollowUp:
    for each in procedure.follow_ups:
        if each.title == title:
            return each
    known = ", ".join(quoted(each.title) for each in procedure.follow_ups) or "none"
    raise ValueError(f"{procedure.title} has no follow-up {quoted(title)}. It has {known}.")


def _due(follow_up: FollowUp) -> DueLater:
    after = follow_up.after
    use = follow_up.or_use
    return DueLater(
        title=follow_up.title,
        after=None if after is None else units.convert(after.value, after.unit, "s"),
        or_use=None if use is None else units.show(use.value, use.unit),
    )


def _steps(unit: str, groups: Sequence[Group], stages: Sequence[Stage], trial: bool) -> Iterator[Step]:
    """Number the cells, count their sections, and give each its target and window."""
    section = 0
    before: tuple[object, ...] | None = None
    number = 0
    figures: dict[int, _Figures] = {}
    for cell in _cells(unit, groups, stages):
        if trial and cell.stage.trial_skip:
            continue
        if cell.within != before:
            section, before = section + 1, cell.within
        number += 1
        stage = cell.stage
        if stage.number not in figures:
            figures[stage.number] = _figures(stage, unit)
        target, window, own_unit, target_si, window_si = figures[stage.number]
        yield Step(
            number=number,
            id=_name(cell),
            stage=stage.number,
            kind=str(stage.__struct_config__.tag),
            section=section,
            round=cell.round,
            group=stage.group,
            position=cell.position,
            set=cell.set,
            point=cell.point,
            target=target,
            window=window,
            unit=own_unit,
            target_si=target_si,
            window_si=window_si,
        )


def _cells(unit: str, groups: Sequence[Group], stages: Sequence[Stage]) -> Iterator[_Cell]:
    sets = {group.name: group.sets for group in groups}
    for block, members in groupby(stages, key=lambda stage: stage.block):
        if block is None:
            for stage in members:
                yield from _of_stage(stage, unit, stage.positions, None, ())
            continue
        block_stages = list(members)
        yield from _of_block(block, block_stages, unit, sets.get(block_stages[0].group or "", ()))


def _of_block(block: int, stages: list[Stage], unit: str, sets: Sequence[FastenerSet]) -> Iterator[_Cell]:
    """All steps of a `for_each` for one position or one set, then for the next."""
    if stages[0].each == "position":
        order: dict[str, None] = {}
        for stage in stages:
            order |= dict.fromkeys(stage.positions)
        for position in order:
            for stage in stages:
                if position in stage.positions or not stage.positions:
                    yield from _of_stage(stage, unit, (position,), position, (block,), whole=True)
        return
    for members in sets:
        inside = set(members.positions)
        for stage in stages:
            positions = tuple(position for position in stage.positions if position in inside)
            yield from _of_stage(stage, unit, positions, members.name, (block, members.name), whole=True)


def _of_stage(
    stage: Stage,
    unit: str,
    positions: tuple[str, ...],
    of_set: str | None,
    within: tuple[object, ...],
    whole: bool = False,
) -> Iterator[_Cell]:
    """The cells of one stage for these positions; `whole` keeps them in the section named by `within` alone."""
    points: tuple[str | None, ...] = (None,)
    if isinstance(stage, Measure) and stage.points:
        points = stage.points
    together = getattr(stage, "together", 1)
    for round_no in range(1, getattr(stage, "rounds", 1) + 1):
        if not _at_positions(stage, unit, one=whole and of_set in positions):
            for point in points:
                yield _Cell(stage, round_no, None, of_set, point, within if whole else (stage.number, round_no))
            continue
        for index, position in enumerate(positions):
            inside = within if whole else (stage.number, round_no, index // together if together > 1 else 0)
            for point in points:
                yield _Cell(stage, round_no, position, of_set if stage.each == "set" else None, point, inside)


def _at_positions(stage: Stage, sheet_unit: str, *, one: bool) -> bool:
    """True where a stage has a step for each position; bolt by bolt, what is asked once is asked at that bolt."""
    at = kinds.of(stage).plan(stage, sheet_unit).at
    return at == "each" or (at == "once" and one)


def _name(cell: _Cell) -> str:
    """`<stage>.<round>/<position>`, a gate `/-`, in a set `/<set>`, a point `/<point>` or `/<position>@<point>`."""
    if cell.position is not None:
        tail = cell.position if cell.point is None else f"{cell.position}@{cell.point}"
    elif cell.set is not None:
        tail = cell.set if cell.point is None else f"{cell.set}@{cell.point}"
    else:
        tail = cell.point or "-"
    return f"{cell.stage.number}.{cell.round}/{tail}"


_Figures = tuple[
    Decimal | None,
    tuple[Decimal | None, Decimal | None] | None,
    str | None,
    float | None,
    tuple[float | None, float | None] | None,
]


def _figures(stage: Stage, sheet_unit: str) -> _Figures:
    """Target, window and their unit, then target and window in SI."""
    planned = kinds.of(stage).plan(stage, sheet_unit)
    target, window, unit = planned.target, planned.window, planned.unit
    ends = None if window is None else (window.low, window.high)
    return (
        target,
        ends,
        unit,
        None if target is None or unit is None else units.si(target, unit),
        None if ends is None or unit is None else (_si(ends[0], unit), _si(ends[1], unit)),
    )


def _si(value: Decimal | None, unit: str) -> float | None:
    return None if value is None else units.si(value, unit)
