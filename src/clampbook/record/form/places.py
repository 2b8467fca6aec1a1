"""The places of a stage on the form: its columns at each position, with the prevailing torque of locking nuts and what
it adds to, and the boxes that are written once for each round.
"""

from __future__ import annotations

from collections.abc import Mapping

from msgspec.structs import replace

from clampbook.procedure.model import Apply, Group, Measure, Recheck, Stage, Tighten, Unmoved, Wait, sample_of
from clampbook.procedure.naming import own
from clampbook.record.form.blocks import COLUMN, Box
from clampbook.record.pages.stage_words import rounds
from clampbook.run import kinds
from clampbook.run.kinds.kind import Column
from clampbook.run.plan import Plan, Step

_TIME, _SET = Column("Time", wide=12, for_all=True), Column("Set to", wide=13, for_all=True)
_TOGETHER = 26  # millimetres for a reading and further pulls in one column
WHEN = (Box("From", wide=15), Box("To", wide=15), Box("Initials", wide=14))
_ONCE = (Box("Time", wide=15), Box("Initials", wide=14))
_FULL = COLUMN + 14  # boxes that are only just too many are made narrower
MOST_AGAIN = 10  # times over until nothing moves that have a place
ALL = "all"
PULL_TO = "Pull to"  # where the torque of each fastener is written that has one of its own


def label(step: Step, plan: Plan) -> str:
    """The name of a row: the position as the drawing has it, the set, or the measuring point; with its joint where rows
    of several stand below each other."""
    joint = plan.joint_at(step.position, step.stage) if plan.joints_interleaved else None
    if joint is not None and step.position is None:
        return " ".join(part for part in (step.set or joint.name, step.point) if part)
    if joint is None:
        return name(step)
    return " ".join(part for part in (step.position, step.point) if part)


def name(step: Step) -> str:
    """The same within its joint."""
    where = own(step.position or "") or step.set or ALL
    if step.point is None:
        return where
    return step.point if step.position is None and step.set is None else f"{where} {step.point}"


def repeats(stage: Stage, plan: Plan) -> int:
    """Count how often each position comes: rounds, or times over until nothing moves."""
    return max(rounds(stage), kinds.of(stage).paper(stage, plan.unit).repeats)


def columns(stage: Stage, plan: Plan, *, together: bool = False) -> tuple[tuple[Column, ...], ...]:
    """Give the columns of each round that has a place; `together` with other columns a reading and further pulls share
    one."""
    paper, count = kinds.of(stage).paper(stage, plan.unit), min(repeats(stage, plan), max(MOST_AGAIN, rounds(stage)))
    each = _shared(paper.columns) if together or count > 1 else paper.columns
    found = [each] * (count - 1) + [(*each, *paper.at_the_end)]
    group = plan.group_named.get(stage.group or "")
    if group is None:
        return tuple(found)
    found[0] = (*_prevailing(stage, plan, group), *found[0])
    if group.finish_within is not None and (isinstance(stage, Apply) or not isinstance(stage, Unmoved)):
        found[-1] = (*found[-1], _TIME)
    return tuple(found)


def _shared(each: tuple[Column, ...]) -> tuple[Column, ...]:
    """The same without spare columns, for which the one before them is made wider."""
    if not any(column.spare for column in each):
        return each
    return tuple(
        replace(column, wide=_TOGETHER) if after is not None and after.spare else column
        for column, after in zip(each, (*each[1:], None), strict=True)
        if not column.spare
    )


def _prevailing(stage: Stage, plan: Plan, group: Group) -> tuple[Column, ...]:
    """Room for prevailing torque where it is read, and for what is pulled to and set where it is added."""
    if group.prevailing is None or not isinstance(stage, Tighten | Recheck):
        return ()
    added = (Column(f"{PULL_TO}, {plan.unit}", wide=14, for_all=True), _SET) if adds_prevailing(stage, group) else ()
    return (
        (Column(f"Prevailing, {plan.unit}", wide=14, for_all=True), *added) if reads_prevailing(stage, plan) else added
    )


def adds_prevailing(stage: Stage, group: Group | None) -> bool:
    """True where each bolt is pulled to a torque of its own, of which its prevailing torque is a part."""
    added = group is not None and group.prevailing is not None and group.prevailing.rule != "included"
    return added and isinstance(stage, Tighten | Recheck)


def reads_prevailing(stage: Stage, plan: Plan) -> bool:
    """True of the first tightening of locking nuts, before which their prevailing torque is read."""
    if not isinstance(stage, Tighten):
        return False
    before = (each for each in plan.stages[: stage.number - 1] if isinstance(each, Tighten))
    tight = {each for one in before if one.number in plan.first_of_stage for each in one.positions}
    return not tight.issuperset(stage.positions)


def drawn_by_hand(stage: Stage, plan: Plan) -> bool:
    """True where the inspector writes the names of a sample; else all are printed, and some of them ringed."""
    sample = sample_of(stage)
    in_turn = bool(plan.joints) and not plan.joints_interleaved
    points = isinstance(stage, Measure) and bool(stage.points)
    return sample is not None and sample.then != "all" and not points and not in_turn


def fields(stage: Stage, plan: Plan, known: Mapping[str, str | None]) -> tuple[Box, ...]:
    """Give the boxes that are written once; `known` is what is printed in those of these names, None where there is
    nothing to write."""
    group = plan.group_named.get(stage.group or "")
    named = kinds.of(stage).paper(stage, plan.unit).fields
    if adds_prevailing(stage, group):
        named = tuple(name for name in named if name != _SET.head)
    if group is not None and group.prevailing is not None and reads_prevailing(stage, plan):
        named = (*named, "Prevailing read with")
    if "Reason" in known:
        named = (*named, "Reason")
    drawn = ("Drawn by",) if sample_of(stage) is not None else ()
    printed = ((each, known.get(each, "")) for each in (*drawn, *named))
    return tuple(Box(each, value, _wide(each)) for each, value in printed if value is not None)


def _wide(name: str) -> int:
    return 30 if name in ("Signature", "Reason", "Inspector") else 19


def once(stage: Stage) -> tuple[Box, ...]:
    """Give the boxes for when and by whom; what takes time has a beginning and an end."""
    return WHEN if stage.at_each or isinstance(stage, Wait) else _ONCE


def packed(boxes: tuple[Box, ...]) -> tuple[tuple[Box, ...], ...]:
    """The boxes in as few rows as the column is wide enough for, shared out so that none of a row stands alone."""
    found = _filled(boxes, _FULL)
    for wide in range(max((box.wide for box in boxes), default=_FULL), _FULL):
        narrower = _filled(boxes, wide)
        if len(narrower) == len(found):
            return narrower
    return found


def _filled(boxes: tuple[Box, ...], most: int) -> tuple[tuple[Box, ...], ...]:
    """The boxes in rows, as many in each as `most` millimetres hold."""
    rows: list[list[Box]] = []
    filled = most
    for box in boxes:
        if filled + box.wide > most:
            rows.append([])
            filled = 0
        rows[-1].append(box)
        filled += box.wide
    return tuple(map(tuple, rows))
