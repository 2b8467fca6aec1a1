"""Releases in a procedure file: by whom, compared with what, and whether the file still says what was released.

A release names the SHA-256 of what the file says: its values in their order as JSON, without `status`, [release] and
[withdrawal]. Comments and blank lines may change; whatever the walk reads may not, or the file is a draft again.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from datetime import date
from hashlib import sha256
from typing import TYPE_CHECKING, Any, Literal

from clampbook.procedure.codes import Code
from clampbook.procedure.model import Procedure, Release, Withdrawal
from clampbook.procedure.slips import KeyPath, Slips
from clampbook.procedure.washing import UNREAD
from clampbook.text import as_sentence, quoted

if TYPE_CHECKING:
    from clampbook.procedure.sheet import ReleaseTable, Sheet, WithdrawalTable

Status = Literal["draft", "released", "withdrawn"]
ABOUT_IT = ("status", "release", "withdrawal")


def says(data: Mapping[str, Any]) -> str:
    """The SHA-256 of what a file says apart from its release; `data` as TOML gives it, keys in the file's order."""
    kept = {key: value for key, value in data.items() if key not in ABOUT_IT}
    return sha256(json.dumps(kept, ensure_ascii=False, separators=(",", ":"), default=str).encode()).hexdigest()


def standing(sheet: Sheet, found: Release | None, data: Mapping[str, Any]) -> tuple[Status, str | None]:
    """Give the standing of the file, and the reason why a release in it does not hold."""
    if sheet.status != "released" or found is None:
        return sheet.status, None
    whose = f"the release by {found.by} of {found.on}"
    if found.says is None:
        return "draft", f"{whose} does not say what was released. Run clampbook release again"
    if found.says != says(data):
        return "draft", f"it was changed after {whose}"
    return "released", None


def told(procedure: Procedure) -> str | None:
    """Tell by whom, when and compared with what it was released; None where it is not."""
    found = procedure.release
    if procedure.status != "released" or found is None:
        return None
    how = "signed with a key" if found.key else "typed name"
    return f"by {found.by} ({how}) on {found.on}, compared with {found.compared_with}"


def look_again_by(procedure: Procedure) -> str | None:
    """The day by which a released revision is to be looked at again."""
    return procedure.release.look_again_by if procedure.status == "released" and procedure.release else None


def not_released(procedure: Procedure) -> str | None:
    """Tell why it is no released revision, as part of a sentence: changed meanwhile, or withdrawn by whom and why."""
    gone = procedure.withdrawal
    if gone is not None and procedure.status == "withdrawn":
        return f"{gone.by} withdrew it on {gone.on}: {gone.because}"
    return procedure.lapsed


def before_start(procedure: Procedure, today: date) -> tuple[str, ...]:
    """Tell before a run that it is no released revision and why, or that it should have been looked at again."""
    if procedure.status != "released":
        why = not_released(procedure)
        kind = "Withdrawn" if procedure.status == "withdrawn" else "Draft"
        return (f"{kind}. {as_sentence(why) + ' ' if why else ''}The record will say so.",)
    again = look_again_by(procedure)
    if again is not None and again < today.isoformat():
        return (f"This revision was to be compared again by {again}. The record will say so.",)
    return ()


def release(slips: Slips, sheet: Sheet) -> Release | None:
    """The release; a released revision has one, a draft has none, a withdrawn one may keep its own."""
    table = sheet.release
    if table is None:
        if sheet.status == "released" and sheet.model_fields_set >= {"status"}:
            slips.add(
                Code.RELEASE,
                ("status",),
                "nothing says who released the file",
                found="no [release]",
                allowed="a table [release]",
                hint='write status = "draft", then run: clampbook release',
            )
        return None
    if sheet.status == "draft":
        _misplaced(slips, "release", 'status = "draft"', "a draft", "released or withdrawn files only")
    return _release(slips, table)


def withdrawal(slips: Slips, sheet: Sheet) -> Withdrawal | None:
    """The withdrawal, in withdrawn files only."""
    table: WithdrawalTable | None = sheet.withdrawal
    if table is None:
        return None
    if sheet.status != "withdrawn":
        _misplaced(slips, "withdrawal", f'status = "{sheet.status}"', "not withdrawn", "withdrawn files only")
    _day(slips, ("withdrawal", "on"), table.on)
    return Withdrawal(by=table.by, on=table.on, because=table.because, key=table.key)


def _misplaced(slips: Slips, table: str, found: str, what: str, where: str) -> None:
    slips.add(
        Code.RELEASE,
        (table,),
        f"the file is {what}, and has a {table}",
        found=found,
        allowed=f"a {table} in {where}",
        hint=f"remove [{table}]",
    )


def _release(slips: Slips, table: ReleaseTable) -> Release:
    on = _day(slips, ("release", "on"), table.on)
    again = _day(slips, ("release", "look_again_by"), table.look_again_by)
    if on is not None and again is not None and again < on:
        slips.add(
            Code.DAY,
            ("release", "look_again_by"),
            f"the day to compare again, {again}, is before the release",
            found=again.isoformat(),
            allowed=f"{on.isoformat()} or later",
            hint=f"write {on} or later",
        )
    return Release(
        by=table.by,
        compared_with=table.compared_with,
        on=table.on,
        look_again_by=table.look_again_by,
        says=table.says,
        key=table.key,
    )


def day(text: str) -> date | None:
    """A day of the calendar, written as year-month-day; None for anything else."""
    try:
        return date.fromisoformat(text) if len(text) == len("2026-03-02") else None
    except ValueError:
        return None


def _day(slips: Slips, at: KeyPath, text: str | None) -> date | None:
    if text is None or text == UNREAD:
        return None
    found = day(text)
    if found is None:
        slips.add(
            Code.DAY,
            at,
            f"{quoted(text)} is not a day of the calendar",
            found=text,
            allowed="year-month-day",
            hint="write it like 2026-03-02",
        )
    return found
