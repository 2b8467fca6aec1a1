"""From a book and a tool to a check: opened and done, or read from a file, and what follows from what it found."""

from __future__ import annotations

import contextlib
from collections.abc import Callable, Iterator
from decimal import Decimal
from pathlib import Path
from typing import Any, Literal

from clampbook import __version__
from clampbook.book.book import Book
from clampbook.book.checks import Opening, new_check, tell_book
from clampbook.check import events as e
from clampbook.check import plan as plans
from clampbook.check.checking import Checking
from clampbook.check.folder import CheckFolder
from clampbook.check.loading import both, load, with_readings
from clampbook.check.plan import CheckPlan
from clampbook.check.readings import Readings
from clampbook.ledger.event import fields
from clampbook.ledger.formats import FORMAT
from clampbook.ledger.refusals import LedgerFault
from clampbook.ledger.stamp import Clock, stamp_of
from clampbook.people import Person
from clampbook.tools.model import Tool
from clampbook.units import Kind, UnitFault, convert, parse

Source = Literal["system", "handed in"]


def targets_of(tool: Tool, written: tuple[str, ...]) -> tuple[Decimal, ...]:
    """The work's torques in the tool's unit; a number alone is in that unit. Raises LedgerFault."""
    found = []
    for text in written:
        try:
            quantity = parse(text, Kind.TORQUE, unit=tool.unit)
        except UnitFault as fault:
            raise LedgerFault(fault.sentence) from fault
        found.append(convert(quantity.value, quantity.unit, tool.unit))
    return tuple(found)


def open_check(
    book: Book, plan: CheckPlan, person: Person, clock: Clock, source: Source, readings: bytes | None = None
) -> CheckFolder:
    """Freeze what a new check uses and write its first line. Raises LedgerFault, and then there is no check."""
    now = clock.now()
    stamp = stamp_of(now, person.id)

    def opened(opening: Opening) -> dict[str, Any]:
        return fields(
            e.Opened(
                at=stamp.text,
                offset=stamp.offset,
                by=stamp.by,
                daybook=FORMAT,
                check=opening.check,
                book=opening.book,
                log_head=opening.log_head,
                plan_sha256=opening.plan_sha256,
                person=person,
                version=__version__,
                clock=source,
            )
        )

    return new_check(book, plan.tool, now.date(), plans.encode(plan), readings, opened)


@contextlib.contextmanager
def checking(
    book: Book, check: CheckFolder, *, clock: Clock, person: Person, fresh: bool = False
) -> Iterator[Checking]:
    """A check that is being done, for as long as the `with` lasts; nobody else can write to it meanwhile.

    After each answer call `tell_book` (or `Telling.after`), so that a tool found off is withdrawn at once.
    Raises LockHeld where somebody else does, LedgerFault where the check is over or its files are not whole.
    """
    plan = check.frozen()
    with book.writing(check, person.name) as ledger:
        yield Checking.take_up(plan, ledger, clock=clock, person=person, fresh=fresh)


def read_in(
    book: Book, plan: CheckPlan, readings: Readings, data: bytes, person: Person, clock: Clock, source: Source
) -> CheckFolder:
    """A whole check from a file of readings: opened, read in, closed, told to the book, and recorded."""
    check = open_check(book, plan, person, clock, source, data)
    with book.writing(check, person.name) as ledger:
        stamp = stamp_of(clock.now(), person.id)
        at, offset, by = stamp.text, stamp.offset, stamp.by
        rows = e.FoundRead(at=at, offset=offset, by=by, file="readings.csv", rows=len(readings))
        ledger.append(fields(rows))
        found, left = both(plan, with_readings(plan, _read_so_far(), readings))
        closed = e.Closed(
            at=at,
            offset=offset,
            by=by,
            as_found=None if found is None else found.verdict,
            as_left=None if left is None else left.verdict,
        )
        ledger.append(fields(closed))
    return check


def _read_so_far() -> Any:
    from clampbook.check.progress import Progress

    return Progress()


def conclude(book: Book, check: CheckFolder, after: Callable[[], None] = lambda: None) -> Path | None:
    """After a check: what it found goes into the book's log, and one that ended gets its record.

    Gives the record's path; None where the check is still open. `after` is called where it withdrew the tool just now.
    """
    plan, progress = load(check)
    if tell_book(book, check, plan, progress):
        after()
    if progress.ended is None:
        return None
    from clampbook.record.checks.written import write

    return write(check)
