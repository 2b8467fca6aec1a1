"""The stages of a file in one flat row, each with its key path, its group and its positions in the order of work."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import Literal, TypedDict

from clampbook.procedure.amounts import Reading
from clampbook.procedure.codes import Code
from clampbook.procedure.labels import listed
from clampbook.procedure.model import Group, Layout
from clampbook.procedure.ordering import Wanted, order_of, subset
from clampbook.procedure.sheet_shared import StageTable
from clampbook.procedure.sheet_stages import BlockTable, InspectTable, MeasureTable, StageKinds, WaitTable
from clampbook.procedure.slips import KeyPath, did_you_mean, either, spoken
from clampbook.procedure.washing import UNREAD
from clampbook.text import quoted

MOST_WORKED_ON = 1_000_000
"""Positions of all stages together; the reader stops at more, so that a slip in a number costs no minutes."""


@dataclass(frozen=True, slots=True)
class Joint:
    """The joint that stages are read against.

    `known` False: the name of a group has a slip, so that an unknown one proves nothing. `targets_known` the same of
    targets.
    """

    reading: Reading
    layout: Layout
    groups: tuple[Group, ...]
    known: bool
    targets_known: bool
    named: dict[str, Group] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Entry:
    """One stage as written. `resolved` False: its group could not be told."""

    at: KeyPath
    table: StageKinds
    number: int
    group: Group | None = None
    positions: tuple[str, ...] = ()
    block: int | None = None
    block_table: BlockTable | None = None
    first_of_block: bool = False
    resolved: bool = True

    @property
    def stands_in(self) -> bool:
        """True for what only stands in the place of a stage that could not be read."""
        return isinstance(self.table, InspectTable) and self.table.ask == UNREAD


def entries(joint: Joint, stages: Sequence[StageKinds | BlockTable], at: KeyPath) -> list[Entry]:
    """All stages in the order of work; each step of a `for_each` counts as one, blocks are numbered from 1."""
    found: list[Entry] = []
    blocks, worked_on = 0, 0
    for index, table in enumerate(stages):
        here = (*at, index)
        if worked_on > MOST_WORKED_ON:
            joint.reading.slips.add(
                Code.TOO_MANY,
                here,
                f"the stages before this one work on {worked_on} positions",
                found=f"{worked_on} positions",
                allowed=f"up to {MOST_WORKED_ON}",
                hint="check the numbers of the positions",
            )
            break
        if isinstance(table, BlockTable):
            blocks += 1
            found.extend(_of_block(joint, table, here, blocks, len(found)))
        else:
            group, resolved = _group(joint, table, here)
            positions = _positions(joint, table, here, group)
            found.append(Entry(here, table, len(found) + 1, group, positions, resolved=resolved))
        worked_on += len(found[-1].positions)
    return found


def _of_block(joint: Joint, block: BlockTable, at: KeyPath, number: int, before: int) -> Iterator[Entry]:
    group = _wanted_group(joint, block.group, at)
    positions: tuple[str, ...] = ()
    if group is not None and isinstance(block, BlockTable):
        positions = _in_sets(joint, block, at, group) if block.for_each == "set" else _ordered(joint, block, at, group)
    for index, table in enumerate(block.steps):
        here = (*at, "steps", index)
        _says_where(joint, table, here)
        yield Entry(
            here,
            table,
            before + index + 1,
            group,
            positions,
            block=number,
            block_table=block,
            first_of_block=index == 0,
            resolved=group is not None,
        )


def _in_sets(joint: Joint, block: BlockTable, at: KeyPath, group: Group) -> tuple[str, ...]:
    """The positions set by set; the order of the sets stands on the group."""
    slips = joint.reading.slips
    if not group.sets and group.positions:
        slips.add(
            Code.NO_SETS,
            (*at, "for_each"),
            f"{quoted(group.name)} has no sets to repeat the steps for",
            found="no sets",
            allowed="a group with sets",
            hint='add sets = { "cap 1" = "1-2", … } to the group, or write for_each = "position"',
        )
    for key in ("sequence", "order", "reversed"):
        if key in block.model_fields_set:
            slips.add(
                Code.STEP_PLACE,
                (*at, key),
                f"{key} has no meaning where steps are repeated for each set",
                found=key,
                allowed="set_order on the group",
                hint=f"remove {key}, and write set_order in the group",
            )
    known = dict.fromkeys(group.positions)
    wanted = None
    if block.positions is not None:
        wanted = frozenset(subset(slips, (*at, "positions"), block.positions, known, quoted(group.name)))
    return tuple(
        position for members in group.sets for position in members.positions if wanted is None or position in wanted
    )


def _says_where(joint: Joint, table: StageKinds, at: KeyPath) -> None:
    for key in ("group", "positions", "sequence", "order", "reversed"):
        if key in table.model_fields_set:
            joint.reading.slips.add(
                Code.STEP_PLACE,
                (*at, key),
                f"{key} is in a step, and all steps of a for_each share their positions",
                found=key,
                allowed="beside for_each",
                hint=f"move {key} beside for_each, or make the step a [[stage]] of its own",
            )


def _group(joint: Joint, table: StageKinds, at: KeyPath) -> tuple[Group | None, bool]:
    """The group a stage works on; a wait, and a measuring or a look that names none, is a gate without one."""
    match table:
        case WaitTable():
            return None, True
        case MeasureTable() | InspectTable() if not _names_positions(table):
            return None, True
        case StageTable():
            group = _wanted_group(joint, table.group, at)
            return group, group is not None


def _names_positions(table: MeasureTable | InspectTable) -> bool:
    return table.asked == "each" or any(
        written is not None for written in (table.group, table.positions, table.order, table.sequence)
    )


def _wanted_group(joint: Joint, name: str | None, at: KeyPath) -> Group | None:
    slips = joint.reading.slips
    if name is None:
        if len(joint.groups) == 1:
            return joint.groups[0]
        if joint.named:  # where no group has a name, that is told already
            slips.add(
                Code.WHICH_GROUP,
                at,
                f"{spoken(at)} does not say which group it works on",
                found="no group",
                allowed=listed(joint.named),
                hint=f"add group = {either(list(joint.named)[:3])}",
            )
        return None
    group = joint.named.get(name)
    if group is None and joint.known and name != UNREAD:
        slips.add(
            Code.UNKNOWN_GROUP,
            (*at, "group"),
            f"there is no group {quoted(name)}",
            found=name,
            allowed=listed(joint.named),
            hint=did_you_mean(name, joint.named) or f"use {listed(joint.named)}",
        )
    return group


def _positions(joint: Joint, table: StageKinds, at: KeyPath, group: Group | None) -> tuple[str, ...]:
    return _ordered(joint, table, at, group) if group is not None and isinstance(table, StageTable) else ()


def _ordered(joint: Joint, table: StageTable | BlockTable, at: KeyPath, group: Group) -> tuple[str, ...]:
    """The stage's positions in its own order, else in the group's."""
    slips = joint.reading.slips
    positions, order = group.positions, group.order
    if table.positions is not None:
        known = dict.fromkeys(group.positions)
        positions = subset(slips, (*at, "positions"), table.positions, known, quoted(group.name))
        chosen = frozenset(positions)
        order = tuple(position for position in group.order if position in chosen)
    wanted = Wanted(table.sequence, table.order, table.reversed)
    return order_of(slips, at, wanted, joint.layout, positions, order)


class Common(TypedDict):
    """The fields that every kind of stage takes from its entry."""

    number: int
    id: str | None
    group: str | None
    positions: tuple[str, ...]
    manual: str | None
    note: str | None
    caution: str | None
    trial_skip: bool
    block: int | None
    each: Literal["position", "set"] | None


def common(entry: Entry) -> Common:
    """A step of a block takes over what the block says; its caution is read once, before the first step."""
    table, block = entry.table, entry.block_table
    cautions = [table.caution]
    if block is not None and entry.first_of_block:
        cautions.insert(0, block.caution)
    return Common(
        number=entry.number,
        id=table.id,
        group=None if entry.group is None else entry.group.name,
        positions=entry.positions,
        manual=table.manual or (block.manual if block else None),
        note=table.note or (block.note if block else None),
        caution=" ".join(caution for caution in cautions if caution) or None,
        trial_skip=table.trial is not None or (block is not None and block.trial is not None),
        block=entry.block,
        each=None if block is None else block.for_each,
    )
