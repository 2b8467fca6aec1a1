"""The work on the form, from the first stage to the last."""

from __future__ import annotations

from collections.abc import Iterator

from clampbook.procedure.model import Stage, Tighten
from clampbook.record.form.blocks import Block, Boxes, Section
from clampbook.record.form.chosen import Taken
from clampbook.record.form.parts import Part, parts, rows
from clampbook.record.form.places import fields, once, packed, repeats
from clampbook.record.form.stage_heads import head
from clampbook.record.form.tables import boxed, is_single, single, table
from clampbook.record.pages import stage_words
from clampbook.run.plan import Plan

_STAGE_BY_STAGE = "Column by column: all positions of one stage before the next."
_ROUND_BY_ROUND = "Column by column: all positions of one round before the next."
_FURTHER = "Further pulls beside the first."
_ROW_BY_ROW = "Row by row: all of one position before the next."
_BOX_BY_BOX = "Box by box, in this order: stage · position."


def work(plan: Plan, taken: Taken) -> Iterator[Block]:
    """Give each part of the work: what its stages want, what is written once, and its table."""
    told: set[int] = set()
    for part in parts(plan):
        for stage in part.stages:
            if stage.number in told:
                continue
            alike = _alike(plan, stage)
            told |= {stage.number, *alike}
            yield head(stage, plan, taken, for_all=bool(alike))
            if part.boxed or not is_single(part):
                yield from _written_once(plan, part, stage, taken)
            if part.boxed and stage is part.stages[-1]:
                yield Section("", lines=(_BOX_BY_BOX,))
        if part.boxed:
            yield from boxed(plan, part)
        elif is_single(part):
            yield single(plan, part, taken.boxes.get(part.stages[0].number, {}))
        else:
            yield from _table(plan, part)


def _alike(plan: Plan, stage: Stage) -> tuple[int, ...]:
    """The numbers of the same stage at the other joints."""
    own = plan.joint_of_stage.get(stage.number)
    if own is None:
        return ()
    place = own.stages.index(stage.number)
    return tuple(joint.stages[place] for joint in plan.joints if joint is not own)


def _written_once(plan: Plan, part: Part, stage: Stage, taken: Taken) -> Iterator[Boxes]:
    """Give what is written once for a stage; when and by whom too, unless each round or box has a place for it."""
    found = fields(stage, plan, taken.boxes.get(stage.number, {}))
    if repeats(stage, plan) == 1 and (not part.boxed or stage.at_each):
        found = (*found, *once(stage))
    if found:
        yield Boxes(packed(found), above=True, apart=part.boxed and stage is not part.stages[-1])


def _table(plan: Plan, part: Part) -> Iterator[Block]:
    stages = part.stages[:1] if part.alike else part.stages
    by_round = max(stage_words.rounds(stage) for stage in stages) > 1
    if (len(stages) > 1 or by_round) and len(rows(plan, part)) > 1:
        by_bolt = stages[0].block is not None
        order = _ROW_BY_ROW if by_bolt else _STAGE_BY_STAGE if len(stages) > 1 else _ROUND_BY_ROUND
        further = f" {_FURTHER}" if any(isinstance(stage, Tighten) for stage in stages) else ""
        yield Section("", lines=(order + further,))
    yield from table(plan, part)
