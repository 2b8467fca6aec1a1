"""The tables of the work: a row for each position in the order of the work, a column for each thing that is written,
and boxes where a set or a joint is worked through stage by stage.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import groupby
from typing import NamedTuple

from msgspec.structs import replace

from clampbook.procedure.model import Stage, sample_of
from clampbook.procedure.naming import within_a_sentence
from clampbook.record.form.blocks import COLUMN, Box, Boxes, Rows, Title
from clampbook.record.form.parts import MOST, NARROWEST, Part, rows
from clampbook.record.form.places import columns, drawn_by_hand, fields, name, once, packed, repeats
from clampbook.record.pages import stage_words
from clampbook.record.pages.widths import wide
from clampbook.run.kinds.kind import Column
from clampbook.run.plan import Plan, Step

_EM = 3.6  # millimetres, of the type of positions
_PANELS = 4
_LONGEST = 16  # rows of panels, which are read downwards and stay on a page
_FEWEST = 3  # rows for which another panel is worth its head
_FOOT = ("From", "To", "Initials")
_TWO_LINES = ("Torques",)  # what is pulled and measured in turn needs room for several


class _Place(NamedTuple):
    """A column of a table, with the stage and the round that it belongs to."""

    stage: Stage
    round: int
    column: Column


def table(plan: Plan, part: Part) -> Iterator[Boxes | Rows]:
    """Give the table of stages that are done at the same rows, cut where a column of the page is too narrow for it."""
    stages = part.stages[:1] if part.alike else part.stages
    several = len(stages) > 1
    places = [
        _Place(stage, round, column)
        for stage in stages
        for round, of_round in enumerate(columns(stage, plan, together=several), start=1)
        for column in of_round
    ]
    names = _names(plan, part)
    by_round = any(repeats(stage, plan) > 1 for stage in part.stages)
    first = (*dict.fromkeys(names), *(_FOOT if by_round else ()))
    across = max((NARROWEST, *(round(wide(name) * _EM + 3) for name in first)))
    for chunk in _chunks(places, MOST + NARROWEST - min(across, COLUMN // 3)):
        head = tuple(_head(plan, each, several=several) for each in chunk)
        widths = (across, *(each.column.wide for each in chunk))
        lines = [(name, *(each.column.cell for each in chunk)) for name in names]
        foot = [(each, *("",) * len(chunk)) for each in _FOOT] if by_round else []
        double = any(each.column.head in _TWO_LINES for each in chunk)
        written = tuple(place for place, each in enumerate(chunk, start=1) if each.column.written)
        like = Rows(("Pos.", *head), widths, (*lines, *foot), foot=len(foot), double=double, written=written)
        yield from (like,) if foot else _in_panels(like)


def _names(plan: Plan, part: Part) -> tuple[str, ...]:
    """The names of the rows; of a sample they are written by hand, with room for as many again."""
    found = rows(plan, part)
    sample = sample_of(part.stages[0])
    if sample is None or not drawn_by_hand(part.stages[0], plan):
        return found
    drawn = sum(sample.of(len(stage.positions)) for stage in part.stages)
    return ("",) * min(len(found), 2 * drawn)


def _chunks(places: Sequence[_Place], most: int) -> Iterator[list[_Place]]:
    chunk: list[_Place] = []
    for each in places:
        if chunk and sum(one.column.wide for one in chunk) + each.column.wide > most:
            yield chunk
            chunk = []
        chunk.append(each)
    if chunk:
        yield chunk


def _head(plan: Plan, each: _Place, *, several: bool) -> str:
    """Name a column: by its stage where several stand beside each other, by its round where there are several."""
    of_stage = f"{plan.numbered[each.stage.number]} " if several else ""
    if repeats(each.stage, plan) == 1 or each.column.for_all:
        return f"{of_stage}{each.column.head}"
    of_round = f"Round {each.round}"
    return (
        f"{of_stage}{of_round}"
        if each.column.written
        else f"{of_stage}{of_round}: {within_a_sentence(each.column.head)}"
    )


def _in_panels(whole: Rows) -> Iterator[Rows]:
    """Lay rows in panels beside each other where they are narrow, and cut long ones, so that a panel is read downwards
    on one page."""
    lines, panels = whole.rows, min(_PANELS, COLUMN // sum(whole.widths), max(1, len(whole.rows) // _FEWEST))
    if panels <= 1:
        yield whole
        return
    nothing = ("",) * len(whole.head)
    for begin in range(0, len(lines), _LONGEST * panels):
        block = lines[begin : begin + _LONGEST * panels]
        deep = -(-len(block) // panels)
        laid = (
            tuple(
                cell
                for panel in range(panels)
                for cell in (block[row + deep * panel] if row + deep * panel < len(block) else nothing)
            )
            for row in range(deep)
        )
        yield replace(whole, rows=tuple(laid), panels=panels)


def single(plan: Plan, part: Part, known: Mapping[str, str | None]) -> Boxes:
    """Give the boxes of a stage that is done once, without a row of its own."""
    (stage,) = part.stages
    places = tuple(
        Box(column.head, column.cell, max(column.wide, 18)) for each in columns(stage, plan) for column in each
    )
    return Boxes(packed((*places, *fields(stage, plan, known), *once(stage))))


def is_single(part: Part) -> bool:
    """True of a wait, or of what is answered or measured once."""
    return len(part.stages) == 1 and len(part.steps) == 1 and part.steps[0].position is None


def boxed(plan: Plan, part: Part) -> Iterator[Title | Boxes]:
    """Give the boxes of each set, bolt or joint in the order of the work, stage by stage."""
    for title, members in groupby(part.steps, key=lambda step: _title(plan, step)):
        if title:
            yield Title(title)
        boxes: list[tuple[Box, ...]] = []
        for stage, steps in groupby(members, key=plan.stage_of):
            boxes += packed(tuple(_of_stage(plan, stage, tuple(steps))))
        yield Boxes(tuple(boxes))


def _title(plan: Plan, step: Step) -> str:
    """The set, which names its joint; else the joint."""
    joint = plan.joint_at(step.position, step.stage)
    of_set = step.set if plan.stage_of(step).each == "set" else None
    return of_set or ("" if joint is None else joint.name)


def _of_stage(plan: Plan, stage: Stage, steps: Sequence[Step]) -> Iterator[Box]:
    found, planned = columns(stage, plan, together=True), stage_words.rounds(stage)
    number = plan.numbered[stage.number]
    for step in steps:
        where = "" if step.position is None and step.point is None else f" · {name(step)}"
        for round in (step.round,) if planned > 1 else range(1, len(found) + 1):
            for column in found[round - 1]:
                of_round = f" round {round}" if len(found) > 1 and not column.for_all else ""
                yield Box(
                    f"{number}{where}{of_round} {within_a_sentence(column.head)}", column.cell, max(22, column.wide)
                )
    if any(step.position is None for step in steps):
        yield from (Box(f"{number} {each.label.lower()}", wide=each.wide) for each in once(stage))
