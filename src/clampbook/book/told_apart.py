"""The tool that an id means in a book, and since when: as its log tells of serial numbers, and people of a changed
one."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from clampbook.book.book import CHECKS, RUNS, Book
from clampbook.book.settled import Settled, settled
from clampbook.check.standing import CHECK_OPENED, TOLD_APART, TOOL_CHECKED
from clampbook.ledger import lines
from clampbook.ledger.refusals import LedgerFault
from clampbook.ledger.stamp import Stamp
from clampbook.people import Person
from clampbook.run_folder import RunFolder
from clampbook.tools.identity import Answer, Identities, Identity, folded
from clampbook.tools.model import Tool

MERGED = "merged"
_MERGES = f'"event":"{MERGED}"'.encode()
_TELLS = b'"serial'
_TAKEN = b'"event":"tool_taken"'
_OPENS, _ENDS = lines.telling("run_opened", CHECK_OPENED), lines.telling("tools_used", "run_abandoned", TOOL_CHECKED)


def identities(book: Book, log: Sequence[bytes] | None = None) -> Identities:
    """The tools of a book, by the lines of its `log` where they are read already, and by what is open.

    Raises LedgerFault where the log cannot be read.
    """
    log = book.log_lines() if log is None else log
    answers: list[Answer] = []
    mentions = tuple(_named(book, log, answers))
    return Identities(answers, mentions)


def identity_of(book: Book, tool: Tool) -> Identity:
    """A tool of the book's file. Raises LedgerFault where the log cannot be read."""
    return identity(book, tool.id, tool.serial)


def identity(book: Book, id: str, serial: str | None) -> Identity:
    """The tool that has this id in the book, or of those that had it the one with a serial number. Raises
    LedgerFault."""
    log = book.log_lines()
    return _identity(book, id, serial, log, identities(book, log))


def _identity(book: Book, id: str, serial: str | None, log: Sequence[bytes], which: Identities) -> Identity:
    return which.identity(id, serial, _books_of(book, id, which, which.key(id, serial), log), book.id)


def by_serial(book: Book, id: str, serial: str, now: str | None) -> Identity:
    """Of the tools that have, or had, an id the one with this serial number; `now` is the one in the entry; where there
    is none (any more), the number that the id was known by last. A number that the book knows of no tool of its own is
    that of another book's. Raises LedgerFault."""
    log = book.log_lines()
    which = identities(book, log)
    ours = (now or which.last(id), which.was(id, now))
    if which.is_known(id, serial) or folded(serial) in {folded(each) for each in ours if each is not None}:
        return _identity(book, id, serial, log, which)
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
    return (said for line in log if _MERGES in line and (said := _fields(line)).get("event") == MERGED)


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


def _named(book: Book, log: Sequence[bytes], answers: list[Answer]) -> Iterator[tuple[str, str]]:
    """Each mention of a tool with its serial number, in the order of the log, then in what is open; `answers` gets what
    people said."""
    is_open: dict[str, None] = {}
    of_an_open_run = _naming(settled(book))
    for line in log:
        may_be_open = of_an_open_run is not None and of_an_open_run.search(line)
        if not may_be_open and _TELLS not in line:
            continue
        said = _fields(line)
        opens, ends = (may_be_open and _OPENS.search(line)), (may_be_open and _ENDS.search(line))
        if opens or ends:
            name = str(said.get("check" if said.get("event") in (CHECK_OPENED, TOOL_CHECKED) else "run"))
            is_open.pop(name, None)
            if opens:
                is_open[name] = None
        if said.get("event") == TOLD_APART and (answer := _answer(said)) is not None:
            answers.append(answer)
            yield answer.tool, answer.was
        rows = said.get("used")
        for row in (said, *(rows if isinstance(rows, list) else ())):
            yield from _mentioned(row)
    for name in is_open:
        yield from _taken(book, name)


def _naming(known: Settled) -> re.Pattern[bytes] | None:
    """Give what finds the lines that may be about a run that is not over: all of them where the log is not whole; None
    where every run is over."""
    names = known.going_on if known.whole else ("",)
    return re.compile(b"|".join(re.escape(name).encode() for name in names)) if names else None


def _mentioned(row: object) -> Iterator[tuple[str, str]]:
    match row:
        case {"tool": str(tool), "serial": str(serial)}:
            yield tool, serial


def _taken(book: Book, name: str) -> Iterator[tuple[str, str]]:
    """The tools that an open run took up; those of a check stand in the line that opened it."""
    run = RunFolder(book.path(RUNS, name))
    if book.path(CHECKS, name).exists() or not run.daybook.exists():
        return
    try:
        taken = [line for line in run.lines()[0] if _TAKEN in line]
    except LedgerFault:  # damaged, which is told elsewhere
        return
    for line in taken:
        match _fields(line).get("tool"):
            case {"id": str(tool), "serial": str(serial)}:
                yield tool, serial


def _answer(said: Mapping[str, Any]) -> Answer | None:
    match said:
        case {"tool": str(tool), "serial_was": str(was), "serial": str(serial), "same": bool(same), "at": str(at)}:
            return Answer(tool, was, serial, same, at)
        case _:
            return None


def _fields(line: bytes) -> Mapping[str, Any]:
    try:
        return lines.decode(line)
    except LedgerFault:
        return {}
