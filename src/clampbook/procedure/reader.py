"""From the bytes of a procedure file to a Procedure, or to all faults of the file at once, each with its line."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal
from pathlib import Path
from typing import Any

from clampbook.faults import Faulty
from clampbook.procedure import groups as group_reading
from clampbook.procedure import release as releasing
from clampbook.procedure import start
from clampbook.procedure.adjusting import check_adjusting
from clampbook.procedure.amounts import Reading, counted_use, quantity, seconds
from clampbook.procedure.codes import Code
from clampbook.procedure.entries import Joint, entries
from clampbook.procedure.intake import load, parse
from clampbook.procedure.joints import hold_amount, joints, tell_apart
from clampbook.procedure.meaning import Work, check_groups, check_work
from clampbook.procedure.model import LAST_PULL, FollowUp, Group, Layout, Procedure, Stage
from clampbook.procedure.picture import layout
from clampbook.procedure.rechecking import judged
from clampbook.procedure.shape import shaped
from clampbook.procedure.sheet import FollowUpTable, Sheet
from clampbook.procedure.sheet_stages import BlockTable, StageKinds
from clampbook.procedure.slips import KeyPath, Slips, as_faults
from clampbook.procedure.stages import stage_of
from clampbook.procedure.washing import UNREAD, washed
from clampbook.text import quoted
from clampbook.units import Kind, Quantity, UnitFault, kind_of, unit_named

_FALLBACK_UNIT = "N·m"


def read(data: bytes, path: str = "procedure.toml") -> Procedure:
    """The procedure in these bytes; `path` names the file in faults. Raises Faulty with all faults of the file."""
    slips = Slips()
    told = parse(data, path)
    sheet = shaped(washed(told, slips), slips)
    procedure = None if sheet is None else _procedure(slips, sheet, told)
    if procedure is None or slips.found:
        from clampbook.procedure.places import Places

        raise Faulty(as_faults(slips, path, Places(data).line))
    return procedure


def read_file(path: Path) -> tuple[Procedure, bytes]:
    """The procedure in this file and the very bytes it was read from. Raises Faulty."""
    data = load(path)
    return read(data, str(path)), data


def _procedure(slips: Slips, sheet: Sheet, told: Mapping[str, Any]) -> Procedure:
    """The procedure; complete only where `slips` stays empty. `told` is the file as TOML gives it."""
    reading = Reading(slips, _unit(slips, sheet.unit))
    picture, sound = layout(slips, sheet.layout, sheet.group)
    joint = _joint(reading, sheet, picture, sound)
    work = _work(joint, sheet.stage, ("stage",))
    check_groups(joint, work)
    stages = judged(stage for stage in work.stages if stage is not None)
    follow_ups = _follow_ups(joint, sheet.follow_up, stages)
    ids = _ids(slips, work, *(each for each, _ in follow_ups))
    start.names_once(slips, ((("repeat",), name) for name in sheet.repeat), "joint")
    several = joints(slips, sheet.joints)
    hold_amount(slips, several, stages)
    tell_apart(slips, several, _names_of_groups(sheet), "group")
    tell_apart(slips, several, ids, "stage")
    release = releasing.release(slips, sheet)
    status, lapsed = releasing.standing(sheet, release, told)
    return Procedure(
        title=sheet.title,
        revision=sheet.revision,
        unit=reading.unit,
        layout=picture,
        groups=joint.groups,
        stages=stages,
        status=status,
        release=release,
        withdrawal=releasing.withdrawal(slips, sheet),
        lapsed=lapsed,
        source=sheet.source,
        cautions=tuple(sheet.cautions),
        pause_limit=seconds(reading, ("pause_limit",), sheet.pause_limit) or Decimal(600),
        accept=sheet.accept,
        asks=start.asks(reading, sheet.ask),
        parts=start.parts(slips, sheet.part),
        sign_off=start.sign_off(sheet),
        repeat=tuple(sheet.repeat),
        joints=several,
        follow_ups=tuple(follow_up for _, follow_up in follow_ups),
        accepted=start.accepted(sheet),
    )


def _unit(slips: Slips, text: str) -> str:
    """The sheet's torque unit; where it is none, faults elsewhere are found as if it were N·m."""
    if text == UNREAD:
        return _FALLBACK_UNIT
    try:
        return unit_named(text, Kind.TORQUE)
    except UnitFault as fault:
        slips.add(
            Code.SHEET_UNIT,
            ("unit",),
            fault.sentence,
            found=text,
            allowed=fault.allowed,
            hint='write unit = "N·m", or what the manual has',
        )
        return _FALLBACK_UNIT


def _joint(reading: Reading, sheet: Sheet, picture: Layout, sound: bool) -> Joint:
    tables = sheet.group
    read_groups = group_reading.groups(reading, tables, picture, sound)
    start.names_once(reading.slips, _names_of_groups(sheet), "group")
    named: dict[str, Group] = {}
    for group in read_groups:
        if group.name != UNREAD:
            named.setdefault(group.name, group)
    pairs = zip(tables, read_groups, strict=True)
    return Joint(
        reading=reading,
        layout=picture,
        groups=read_groups,
        known=all(table.name != UNREAD for table in tables),
        targets_known=all(table.target is None or group.target is not None for table, group in pairs),
        named=named,
    )


def _names_of_groups(sheet: Sheet) -> list[tuple[KeyPath, str]]:
    return [(("group", index, "name"), table.name) for index, table in enumerate(sheet.group)]


def _work(joint: Joint, tables: Sequence[StageKinds | BlockTable], at: KeyPath) -> Work:
    """The stages of one list, checked among themselves."""
    written = entries(joint, tables, at)
    numbers = {entry.table.id: entry.number for entry in reversed(written) if entry.table.id is not None}
    work = Work(at, written, [stage_of(joint, entry, numbers) for entry in written])
    check_work(joint, work)
    check_adjusting(joint, work)
    return work


def _follow_ups(joint: Joint, tables: Sequence[FollowUpTable], before: Sequence[Stage]) -> list[tuple[Work, FollowUp]]:
    slips = joint.reading.slips
    start.names_once(slips, ((("follow_up", index, "title"), table.title) for index, table in enumerate(tables)), "one")
    found = []
    for index, table in enumerate(tables):
        at: KeyPath = ("follow_up", index)
        if table.after is None and table.or_use is None:
            slips.add(
                Code.NEVER_DUE,
                at,
                "nothing says when the follow-up is due",
                found="neither after nor or_use",
                allowed="after, or_use, or both",
                hint='add a line like after = "30 min", or or_use = "50 km"',
            )
        work = _work(joint, table.stage, (*at, "stage"))
        follow_up = FollowUp(
            title=table.title,
            after=_after(joint.reading, (*at, "after"), table),
            or_use=_use(joint.reading, (*at, "or_use"), table.or_use),
            stages=judged((stage for stage in work.stages if stage is not None), before),
        )
        found.append((work, follow_up))
    return found


def _after(reading: Reading, at: KeyPath, table: FollowUpTable) -> Quantity | None:
    """A time after the run; a distance is told with the key that counts use."""
    instead = f'write or_use = "{table.after}"' if table.or_use is None else "remove after, as or_use is there"
    if counted_use(reading, at, table.after, instead):
        return None
    return group_reading.time_as_typed(reading, at, table.after)


def _use(reading: Reading, at: KeyPath, text: str | None) -> Quantity | None:
    """A distance, or hours of use."""
    read = quantity(reading, at, text, None)
    if read is None:
        return None
    if read.value > 0 and kind_of(read.unit) in (Kind.LENGTH, Kind.TIME):
        return read
    reading.slips.add(
        Code.NOT_POSSIBLE,
        at,
        f"{quoted(text or '')} is not a distance or a time above zero",
        found=text or "",
        allowed="a distance or a time, above zero",
        hint='write it like "50 km" or "10 h"',
    )
    return None


def _ids(slips: Slips, *works: Work) -> list[tuple[KeyPath, str | None]]:
    """List where each id stands: each once in the whole file, and none that means something else."""
    named: list[tuple[KeyPath, str | None]] = [
        ((*entry.at, "id"), entry.table.id) for work in works for entry in work.entries
    ]
    start.names_once(slips, named, "stage")
    for at, name in named:
        if name == LAST_PULL:
            slips.add(
                Code.NOT_POSSIBLE,
                at,
                f"{quoted(LAST_PULL)} is what a wait counts from",
                found=LAST_PULL,
                allowed="any other name",
                hint="use another id",
            )
    return named
