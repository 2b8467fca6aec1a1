"""A check of a tool whose daybook is damaged is brought to an end: what is sound of it still counts against the tool,
and never for it."""

from __future__ import annotations

from collections.abc import Sequence
from hashlib import sha256

from clampbook.book.book import LOCKS, Book
from clampbook.book.checks import tool_standing
from clampbook.book.damaged.closing_run import MOST, free_name
from clampbook.book.log_told import CHECKED
from clampbook.book.settled import own_log
from clampbook.book.starting.checking import conclude
from clampbook.check import events as e
from clampbook.check.folder import CheckFolder
from clampbook.check.plan import CheckPlan
from clampbook.check.progress import Progress, apply
from clampbook.ledger import atomic, lines, lock
from clampbook.ledger.event import fields
from clampbook.ledger.inside import inside, read_file
from clampbook.ledger.refusals import LedgerFault, shown
from clampbook.ledger.stamp import Clock, stamp_of
from clampbook.people import Person
from clampbook.run.sound_part import first_fault
from clampbook.run_folder import DAYBOOK
from clampbook.work.daybook import MISFIT, OUT_OF_PLACE


def close_damaged_check(book: Book, check: CheckFolder, person: Person, clock: Clock) -> tuple[str, ...]:
    """Set the damaged daybook aside, keep its sound beginning, and end the check as given up; what was done, told.

    Raises LedgerFault where the daybook is whole, where nothing of it is sound, or where the book's log knows already
    how the check ended; LockHeld where somebody writes to it. Then nothing has changed.
    """
    if CHECKED in own_log(book).checks.get(check.id, ""):
        told = f"{check.id} has ended, and the book's log has its result"
        raise LedgerFault(f"{told}. Verify it with: clampbook verify {check.id}")
    plan = check.frozen()
    with lock.take(book.path(LOCKS), check.id, who=person.name, alone=book.alone):
        data = read_file(inside(check.path, DAYBOOK), MOST)
        whole, tail = lines.split(data)
        count, wrong, told = _sound(check, plan, whole)
        aside, kept = free_name(check, data), whole[:count]
        if not isinstance(e.read(kept[-1]), e.Closed | e.Abandoned):
            so = f"line {wrong} of the daybook is damaged: what was done from there on is unknown; as it was in {aside}"
            stamp = stamp_of(clock.now(), person.id)
            reason = f"{so}, SHA-256 {sha256(data).hexdigest()}"
            ending = e.Abandoned(at=stamp.text, offset=stamp.offset, by=stamp.by, reason=reason)
            kept += [lines.encode(fields(ending), count + 1, lines.digest(kept[-1]))]
        atomic.write(inside(check.path, aside), data)
        atomic.write(inside(check.path, DAYBOOK), b"".join(line + b"\n" for line in kept))
    conclude(book, check)
    return (
        f"{check.id}, line {wrong} of its daybook: {told}.",
        f"The first {count} of {len(whole) + bool(tail)} lines are intact and count. The check ends with them.",
        f"The damaged daybook is saved unchanged: {check.path / aside}",
        _of_the_tool(book, plan, check),
    )


def _sound(check: CheckFolder, plan: CheckPlan, whole: Sequence[bytes]) -> tuple[int, int, str]:
    """Count the lines that are sound; gives the first number that is not too, and what is wrong there. Raises
    LedgerFault."""
    fault = first_fault(check.daybook, whole)
    sound = len(whole) if fault is None else fault[0]
    progress = Progress()
    for number, line in enumerate(whole[:sound], start=1):
        try:
            progress = apply(plan, progress, e.read(line))
        except lines.UNREADABLE as error:
            told = f"line {number} is whole, and has something that this version does not know ({error})"
            raise LedgerFault(f"{shown(check.daybook)}: {told}. Use the version that wrote it") from error
        except MISFIT:
            sound, fault = number - 1, (number - 1, number, OUT_OF_PLACE)
            break
    if not sound:
        raise LedgerFault(f"{shown(check.daybook)}: no line of it is intact, not even the first")
    if fault is None:
        raise LedgerFault(f"every whole line of {shown(check.daybook)} is intact. Nothing to close as damaged")
    return sound, fault[1], fault[2]


def _of_the_tool(book: Book, plan: CheckPlan, check: CheckFolder) -> str:
    off = any(failure.check == check.id for failure in tool_standing(book).failures)
    found = "failed by the intact lines, now out of service" if off else "not passed by this check"
    return f"{plan.tool.name}: {found}. Check it again with: clampbook check {plan.tool.id} --new-check"
