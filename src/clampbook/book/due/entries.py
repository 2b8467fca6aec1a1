"""The entries of what is due in a book, as facts, sorted and cut: a follow-up, what a tool wants, a procedure to be
compared again."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, datetime
from pathlib import Path
from typing import Literal, assert_never

from msgspec import Struct

from clampbook.archive.follow_ups import FollowUp
from clampbook.book.due.crossed import CrossedOff
from clampbook.procedure.model import Procedure
from clampbook.procedure.release import look_again_by
from clampbook.tools.model import Stock
from clampbook.tools.state import Due as OfTool
from clampbook.tools.state import due_by

By = Literal["day", "equipment", "person"]
BY: tuple[By, ...] = ("day", "equipment", "person")
_LAST = "\uffff"  # what has no day, thing or person stands below what has one


class Comparison(Struct, frozen=True):
    """A released procedure that is to be compared with its manual again, and who released it."""

    path: Path
    title: str
    revision: str
    by: str


What = FollowUp | OfTool | Comparison


class Due(Struct, frozen=True):
    """One entry: since or on which day (None where no day says it), and whether that is over.

    `crossed_off`: somebody said that it was done elsewhere, or is not needed.
    """

    what: What
    on: str | None
    past: bool
    crossed_off: CrossedOff | None = None

    @property
    def equipment(self) -> str:
        """The thing that it is about, with its joint; "" where it is about none."""
        match self.what:
            case FollowUp(equipment=thing, joint=joint):
                return " · ".join(filter(None, (thing, joint)))
            case OfTool() | Comparison():
                return ""
            case _ as never:
                assert_never(never)

    @property
    def person(self) -> str:
        """Name who did the work before: the run that is followed up, or the release. "" where nobody is known."""
        match self.what:
            case FollowUp(person=person):
                return person
            case Comparison(by=person):
                return person
            case OfTool():
                return ""
            case _ as never:
                assert_never(never)


def of_follow_up(found: FollowUp, now: datetime, crossed_off: CrossedOff | None = None) -> Due:
    """Tell when a follow-up is due; one that use alone makes due has no day, and nobody knows whether it is over."""
    try:
        at = datetime.fromisoformat(found.due_at)
        local = at.astimezone(now.tzinfo)
    except (ValueError, OverflowError):
        return Due(found, None, False, crossed_off)
    return Due(found, local.date().isoformat(), local <= now, crossed_off)


def of_tools(stock: Stock, today: date, until: date) -> tuple[Due, ...]:
    """List what the tools want until a day."""
    return tuple(Due(each, each.on, each.past) for each in due_by(stock, today, until))


def of_procedure(path: Path, procedure: Procedure, today: date) -> Due | None:
    """The day by which a released revision is to be compared again; None where there is none."""
    again, release = look_again_by(procedure), procedure.release
    if again is None or release is None:
        return None
    found = Comparison(path, procedure.title, procedure.revision, release.by)
    return Due(found, again, again < today.isoformat())


def within(entries: Iterable[Due], until: date) -> tuple[Due, ...]:
    """Those that are due until a day, and those that use may have made due by now: what was used since nobody knows."""
    last = until.isoformat()
    return tuple(each for each in entries if each.past or each.on is None or each.on <= last or _by_use(each))


def _by_use(entry: Due) -> bool:
    return isinstance(entry.what, FollowUp) and bool(entry.what.or_use)


def in_order(entries: Iterable[Due], by: By = "day") -> tuple[Due, ...]:
    """Sort: what is over first, then by day; or by thing or person, and for each of them so."""

    def key(entry: Due) -> tuple[str, bool, str, str, str]:
        first = heading(entry, by).casefold() or _LAST if by != "day" else ""
        on = entry.on or ("" if entry.past else _LAST)
        return (first, not entry.past, on, *_named(entry))

    return tuple(sorted(entries, key=key))


def heading(entry: Due, by: By) -> str:
    """Under what an entry stands in a list by thing or person; "" in one by day, and where there is none."""
    match by:
        case "day":
            return ""
        case "equipment":
            return entry.equipment
        case "person":
            return entry.person
        case _ as never:
            assert_never(never)


def _named(entry: Due) -> tuple[str, str]:
    match entry.what:
        case FollowUp(run=run, title=title):
            return run, title
        case OfTool(tool=tool, what=what):
            return tool.id, what
        case Comparison(path=path):
            return path.stem, ""
        case _ as never:
            assert_never(never)
