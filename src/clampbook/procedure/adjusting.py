"""Adjusting: what a measurement must say so that a value outside its window leads back to a stage before it."""

from __future__ import annotations

from clampbook.procedure.codes import Code
from clampbook.procedure.entries import Entry, Joint
from clampbook.procedure.labels import listed, named
from clampbook.procedure.meaning import Work
from clampbook.procedure.sheet_stages import MeasureTable
from clampbook.procedure.slips import Slips, did_you_mean
from clampbook.procedure.washing import UNREAD
from clampbook.text import quoted

_TOGETHER = 'adjust_from = "slacken" and adjust_at_most = 3'


def check_adjusting(joint: Joint, work: Work) -> None:
    """Each measurement that leads back, to an earlier stage of the same work that bears on what is measured."""
    slips = joint.reading.slips
    earlier: dict[str, Entry] = {}
    hidden = False
    for entry in work.entries:
        table = entry.table
        if isinstance(table, MeasureTable) and (table.adjust_from or table.adjust_at_most):
            if table.adjust_from is None or table.adjust_at_most is None:
                _alone(slips, entry, table)
            elif table.adjust_from in earlier:
                _bears(slips, entry, table, earlier[table.adjust_from])
            elif not hidden and table.adjust_from != UNREAD:
                _unknown(slips, entry, table, work, earlier)
        if table.id is not None:
            earlier.setdefault(table.id, entry)
        hidden = hidden or entry.stands_in


def _alone(slips: Slips, entry: Entry, table: MeasureTable) -> None:
    alone, other = ("adjust_at_most", "adjust_from") if table.adjust_from is None else ("adjust_from", "adjust_at_most")
    if (*entry.at, other) in slips.unread:
        return
    example = 'adjust_from = "slacken"' if other == "adjust_from" else "adjust_at_most = 3"
    slips.add(
        Code.ADJUST,
        (*entry.at, alone),
        "adjust_from and adjust_at_most go together",
        found=f"{alone} alone",
        allowed=_TOGETHER,
        hint=f"add a line like {example}, as the manual says",
    )


def _unknown(slips: Slips, entry: Entry, table: MeasureTable, work: Work, earlier: dict[str, Entry]) -> None:
    name = table.adjust_from or ""
    is_later = any(each.table.id == name for each in work.entries)
    slips.add(
        Code.UNKNOWN_STAGE,
        (*entry.at, "adjust_from"),
        f"stage {quoted(name)} comes later, or is this one" if is_later else f"no stage has the id {quoted(name)}",
        found=name,
        allowed=listed(earlier) if earlier else "the id of an earlier stage",
        hint=did_you_mean(name, earlier) or f'give the stage where adjusting begins id = "{name}"',
    )


def _bears(slips: Slips, entry: Entry, table: MeasureTable, back: Entry) -> None:
    """It has limits, stands in the same for_each as that stage if in any, and that stage works where it measures."""
    name = quoted(table.adjust_from or "")
    limits = (table.between, table.at_least, table.at_most, table.spread)
    told = None
    if all(limit is None for limit in limits):
        told = "nothing can be outside, as there are no limits", "no limits", "limits", "add between, or remove both"
    elif table.sample is not None:
        told = (
            "a sample is only looked at, and not adjusted",
            "sample and adjust_from",
            "one of the two",
            "remove sample, or measure and adjust in a stage of its own",
        )
    elif entry.block is not None and back.block != entry.block:
        told = (
            f"stage {name} stands outside this for_each",
            table.adjust_from or "",
            "a step before it of the same for_each",
            "name a step of the same for_each, or make the measurement a [[stage]] of its own",
        )
    elif missed := _missed(entry, table, back):
        told = (
            f"stage {name} does not work on {missed}",
            table.adjust_from or "",
            "a stage that works on what is measured",
            "name a stage that works on the same positions",
        )
    if told is not None:
        text, found, allowed, hint = told
        slips.add(Code.ADJUST, (*entry.at, "adjust_from"), text, found=found, allowed=allowed, hint=hint)


def _missed(entry: Entry, table: MeasureTable, back: Entry) -> str:
    """The positions measured one by one on which that stage does not work; a stage without any bears on all."""
    if table.asked == "once" or entry.group is None or back.group is None or not entry.resolved or not back.resolved:
        return ""
    left = [position for position in entry.positions if position not in frozenset(back.positions)]
    return named(left) if left else ""
