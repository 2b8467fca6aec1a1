"""From each written stage to its value, one case a kind; what pulls is read in `pulls`."""

from __future__ import annotations

from collections.abc import Mapping
from typing import assert_never

from msgspec import UNSET, UnsetType

from clampbook.procedure.amounts import Reading, angle, counted_use, seconds
from clampbook.procedure.codes import Code
from clampbook.procedure.entries import Entry, Joint, common
from clampbook.procedure.labels import expanded, once
from clampbook.procedure.limits import limits_of
from clampbook.procedure.model import Adjust, Apply, Inspect, Loosen, Mark, Measure, Once, Stage, Wait
from clampbook.procedure.pulls import align, recheck, tighten, turn
from clampbook.procedure.sampling import sample_of
from clampbook.procedure.sheet_stages import (
    AlignTable,
    ApplyTable,
    InspectTable,
    LoosenTable,
    MarkTable,
    MeasureTable,
    RecheckTable,
    TightenTable,
    TurnTable,
    WaitTable,
)
from clampbook.units import Kind, kind_of


def stage_of(joint: Joint, entry: Entry, numbers: Mapping[str, int]) -> Stage | None:
    """The stage; None where a slip leaves too little of it. `numbers` are those of the stages that have an id."""
    match entry.table:
        case TightenTable() as table:
            return tighten(joint, entry, table)
        case TurnTable() as table:
            return turn(joint.reading, entry, table)
        case AlignTable() as table:
            return align(joint.reading, entry, table)
        case LoosenTable() as table:
            by = angle(joint.reading, (*entry.at, "by"), table.by)
            return Loosen(by=by, together=table.together, **common(entry))
        case MeasureTable() as table:
            return _measure(joint.reading, entry, table, numbers)
        case InspectTable() as table:
            return _inspect(joint.reading, entry, table)
        case WaitTable() as table:
            return _wait(joint.reading, entry, table)
        case RecheckTable() as table:
            return recheck(joint, entry, table)
        case ApplyTable() as table:
            return Apply(what=table.what, lot=table.lot, asked=_applied(entry, table), **common(entry))
        case MarkTable() as table:
            return Mark(paint=table.paint, **common(entry))
        case _:
            assert_never(entry.table)


def _inspect(reading: Reading, entry: Entry, table: InspectTable) -> Inspect:
    """A look; what is drawn is looked at by another person."""
    asked = _asked(reading, entry, table.asked)
    sample = sample_of(reading, entry, table, asked)
    hold_point = table.by is not None or sample is not None
    return Inspect(
        ask=table.ask, expect=table.expect, asked=asked, hold_point=hold_point, sample=sample, **common(entry)
    )


def _wait(reading: Reading, entry: Entry, table: WaitTable) -> Wait | None:
    at = (*entry.at, "for")
    instead = f'move what comes after it to a [[follow_up]] with or_use = "{table.lasts}"'
    if counted_use(reading, at, table.lasts, instead):
        return None
    lasts = seconds(reading, at, table.lasts)
    return None if lasts is None else Wait(lasts=lasts, as_written=table.lasts, since=table.since, **common(entry))


def _measure(reading: Reading, entry: Entry, table: MeasureTable, numbers: Mapping[str, int]) -> Measure | None:
    unit, window, spread = limits_of(reading, entry.at, table)
    here = (*entry.at, "at")
    points: tuple[str, ...] = ()
    if table.at is not None:
        points = once(reading.slips, here, expanded(reading.slips, here, table.at, what="measuring point"), "point")
    if table.spread is not None and len(points) < 2:
        reading.slips.add(
            Code.SPREAD,
            (*entry.at, "spread"),
            "a spread needs two measuring points",
            found=f"{len(points)} points",
            allowed="two points or more",
            hint='add a line like at = ["front", "rear"]',
        )
    _all_but(reading, entry, table, points)
    asked = _asked(reading, entry, table.asked)
    if unit is None:
        return None
    _tensions(reading, entry, table, unit, asked)
    return Measure(
        what=table.what,
        unit=unit,
        window=window,
        asked=asked,
        points=points,
        spread=spread,
        all_but=table.all_but,
        minus=table.minus,
        sample=sample_of(reading, entry, table, asked),
        adjust=_adjust(table, numbers),
        tensions=True if table.tensions else UNSET,
        **common(entry),
    )


def _tensions(reading: Reading, entry: Entry, table: MeasureTable, unit: str, asked: Once) -> None:
    """A tensioner holds a stud by a pressure, which is read at each."""
    if not table.tensions or (kind_of(unit) is Kind.PRESSURE and asked == "each"):
        return
    found = f"the unit {unit}" if kind_of(unit) is not Kind.PRESSURE else 'asked = "once"'
    reading.slips.add(
        Code.TENSIONS,
        (*entry.at, "tensions"),
        f"a tensioner is read as a pressure at each stud, and this stage has {found}",
        found=found,
        allowed="a pressure, asked at each position",
        hint='write the limits in bar, MPa or psi and asked = "each", or remove tensions',
    )


def _adjust(table: MeasureTable, numbers: Mapping[str, int]) -> Adjust | UnsetType:
    """Back to which stage, and how often; what is wrong with it is told by `adjusting`."""
    number = numbers.get(table.adjust_from or "")
    if number is None or table.adjust_at_most is None:
        return UNSET
    return Adjust(back_to=number, at_most=table.adjust_at_most)


def _all_but(reading: Reading, entry: Entry, table: MeasureTable, points: tuple[str, ...]) -> None:
    """So many of the points may be outside: fewer than there are, of a window, which judges what is read as it is."""
    if table.all_but is None:
        return
    wrong = None
    if table.between is None and table.at_least is None and table.at_most is None:
        wrong = "no window to be outside of", "add between, at_least or at_most"
    elif table.all_but >= len(points):
        wrong = f"{len(points)} points", "name more points than all_but in at, or write a smaller all_but"
    else:
        beside = next((key for key in ("spread", "minus") if getattr(table, key) is not None), None)
        wrong = None if beside is None else (f"{beside} beside it", f"make two stages of it, or remove {beside}")
    if wrong is not None:
        found, hint = wrong
        reading.slips.add(
            Code.ALL_BUT,
            (*entry.at, "all_but"),
            f"all_but is {table.all_but}, with {found}",
            found=found,
            allowed="a window, and more points than all_but, without spread or minus",
            hint=hint,
        )


def _asked(reading: Reading, entry: Entry, asked: Once | None) -> Once:
    """Once or at each position. Outside blocks it follows from whether there is a group; in a set it must be said."""
    each = None if entry.block_table is None else entry.block_table.for_each
    if each == "position":
        if asked == "once":
            reading.slips.add(
                Code.STEP_PLACE,
                (*entry.at, "asked"),
                "steps for each position are not asked once",
                found="once",
                allowed="each",
                hint="remove asked, or make the step a [[stage]] of its own",
            )
        return "each"
    if each == "set" and asked is None and not entry.stands_in:
        reading.slips.add(
            Code.STEP_PLACE,
            entry.at,
            "nothing says whether the step is asked once a set or at each position",
            found="nothing",
            allowed='asked = "once" or asked = "each"',
            hint='add asked = "once" or asked = "each"',
        )
    return asked or ("each" if entry.group is not None else "once")


def _applied(entry: Entry, table: ApplyTable) -> Once:
    inside = entry.block_table is not None and entry.block_table.for_each == "position"
    return "each" if inside else table.asked
