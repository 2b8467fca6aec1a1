"""The tool that an id means in a book, and since when: as its log tells of serial numbers, and people of a changed
one."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from clampbook.book.book import RUNS, Book
from clampbook.book.log_told import Told
from clampbook.book.settled import open_in, own_log
from clampbook.book.use_told import answer_in, fields
from clampbook.check.standing import TOLD_APART
from clampbook.ledger.refusals import LedgerFault
from clampbook.ledger.stamp import Stamp
from clampbook.people import Person
from clampbook.run_folder import RunFolder
from clampbook.tools.identity import Identities, Identity, folded
from clampbook.tools.model import Tool

MERGED = "merged"
_MERGES = f'"event":"{MERGED}"'.encode()
_TAKEN = b'"event":"tool_taken"'
_APART = f'"event":"{TOLD_APART}"'.encode()


def identities(book: Book, told: Told | None = None) -> Identities:
    """The tools of a book, by what its log tells where that is read already, and by what is open.

    Raises LedgerFault where the log cannot be read.
    """
    told = own_log(book) if told is None else told
    answers = (answer_in(fields(line)) for line in told.other_lines if _APART in line)
    taken = (named for run in open_in(told)[0] for named in _taken(book, run))
    return Identities(filter(None, answers), (*told.use.mentions, *taken))


def identity_of(book: Book, tool: Tool) -> Identity:
    """A tool of the book's file. Raises LedgerFault where the log cannot be read."""
    return identity(book, tool.id, tool.serial)


def identity(book: Book, id: str, serial: str | None) -> Identity:
    """The tool that has this id in the book, or of those that had it the one with a serial number. Raises
    LedgerFault."""
    told = own_log(book)
    return _identity(book, id, serial, told, identities(book, told))


def _identity(book: Book, id: str, serial: str | None, told: Told, which: Identities) -> Identity:
    books = _books_of(book, id, which, which.key(id, serial), told.other_lines)
    return which.identity(id, serial, books, book.id)


def by_serial(book: Book, id: str, serial: str, now: str | None) -> Identity:
    """Of the tools that have, or had, an id the one with this serial number; `now` is the one in the entry; where there
    is none (any more), the number that the id was known by last. A number that the book knows of no tool of its own is
    that of another book's. Raises LedgerFault."""
    told = own_log(book)
    which = identities(book, told)
    ours = (now or which.last(id), which.was(id, now))
    if which.is_known(id, serial) or folded(serial) in {folded(each) for each in ours if each is not None}:
        return _identity(book, id, serial, told, which)
    return Identity(id, frozenset(), frozenset({folded(serial)}))


def _books_of(book: Book, id: str, which: Identities, key: str, log: Sequence[bytes]) -> frozenset[str]:
    """This book, and those merged into it of which the log says that an id meant the same tool there."""
    same = (
        line
        for line in merges(log)
        if id in (line.get("tools") or ()) and which.key(id, None, str(line.get("at"))) == key
    )
    return frozenset({book.id, *(str(line.get("book_merged")) for line in same)})


def merges(log: Sequence[bytes]) -> Iterator[Mapping[str, Any]]:
    """Yield each line of a log that tells of a book that was merged into this one."""
    return (said for line in log if _MERGES in line and (said := fields(line)).get("event") == MERGED)


def answered(tool: Tool, was: str, *, same: bool, person: Person, stamp: Stamp) -> dict[str, Any]:
    """The line of the log by which a person says whether a tool of another serial number is another tool."""
    about = {"event": TOLD_APART, "tool": tool.id, "serial_was": was, "serial": tool.serial, "same": same}
    return {**about, "name": person.name, "at": stamp.text, "offset": stamp.offset, "by": person.id}


def tell_apart(book: Book, tool: Tool, *, same: bool, person: Person, stamp: Stamp) -> bool:
    """Write into the log what a person says of the serial number that stands in a tool's entry now; False where nothing
    is to be said of it (any more). Raises LedgerFault where the log cannot be written."""
    with book.log() as log:
        was = identities(book).was(tool.id, tool.serial)
        if was is None:
            return False
        log.append(answered(tool, was, same=same, person=person, stamp=stamp))
    return True


def what_follows(*, same: bool) -> str:
    """Tell what an answer means for the past of the tool."""
    return "The same tool. It keeps its past." if same else "Another tool. Its past starts here."


def _taken(book: Book, name: str) -> Iterator[tuple[str, str]]:
    """The tools that an open run took up."""
    run = RunFolder(book.path(RUNS, name))
    if not run.daybook.exists():
        return
    try:
        taken = [line for line in run.lines()[0] if _TAKEN in line]
    except LedgerFault:  # damaged, which is told elsewhere
        return
    for line in taken:
        match fields(line).get("tool"):
            case {"id": str(tool), "serial": str(serial)}:
                yield tool, serial
