"""The trouble with a tool that a run stored, told in the book's log too, so that every other run knows it at once.

The daybook has its line first, then the log; what a crash left between the two is written at the next start.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

from clampbook.book.book import Book
from clampbook.book.log_told import ABANDONED, DAMAGED, OPENED, USED
from clampbook.book.merging.shared_tools import others_of_that_id
from clampbook.book.settled import own_log
from clampbook.book.told_apart import identities
from clampbook.check.standing import (
    FROM_PAPER,
    LATER_START,
    MERGED,
    TOLD_APART,
    TOOL_DROPPED,
    TOOL_SUSPECTED,
    about_tools,
)
from clampbook.ledger import lines
from clampbook.ledger.inside import read_file
from clampbook.ledger.refusals import LedgerFault
from clampbook.run_folder import RunFolder

_MARKS = (b'"event":"tool_dropped"', b'"event":"tool_suspected"', b'"serial_was":"')
_TAKEN = b'"event":"tool_taken"'
_ENDED = frozenset((USED, ABANDONED, DAMAGED))
_MOST = 500_000_000  # bytes of a daybook


class Telling:
    """Hands what a walk stores of trouble with a tool on to the log of its book.

    Where the log cannot be written just then, the answer is stored all the same: it is tried again each time somebody
    asks for news (`again`), at the end of the run and at the next start.
    """

    def __init__(self, book: Book, run: RunFolder) -> None:
        self._book = book
        self._run = run
        self._due = False

    def __call__(self, _: object) -> None:
        """A line was stored."""
        self._due = True
        self.again()

    def again(self) -> None:
        """Write what is due."""
        if not self._due:
            return
        try:
            tell_troubles(self._book, self._run)
        except LedgerFault:
            return
        self._due = False


def tell_troubles(book: Book, run: RunFolder, *, late: bool = False) -> int:
    """Write into the log what a run tells of trouble with tools, as far as it is not there yet; how many lines it was.

    Raises LedgerFault where the log cannot be written.
    """
    if not _untold(book, run):
        return 0
    with book.log() as log:
        due = _untold(book, run)  # another program may have told it meanwhile
        for entry in due:
            log.append({**entry, "late": LATER_START} if late else entry)
    return len(due)


def take_over(book: Book, other: Book) -> None:
    """Take over what another book's log tells of trouble with tools, as far as this one's does not: a tool that goes
    to and fro between two books is in trouble in both, another one of that id is not. Raises LedgerFault where this
    log cannot be written. What people said there of a mistyped serial number of such a tool comes with it."""
    told = {_said(line) for line in about_tools(own_log(book).other_lines)}
    due = [line for line in _of_our_tools(book, other) if _said(line) not in told]
    if due:
        with book.log() as log:
            for line in due:
                log.append({**line, "late": MERGED, "from_book": other.id})


def _of_our_tools(book: Book, other: Book) -> Iterator[Mapping[str, Any]]:
    """The lines of another book that are about tools of this one, in their order."""
    others = others_of_that_id(book, other)
    theirs = own_log(other)
    which = identities(other, theirs)
    for line in about_tools(theirs.other_lines):
        happened = line.get("event") in (TOOL_DROPPED, TOOL_SUSPECTED)
        if not happened and not (line.get("event") == TOLD_APART and line.get("same") is True):
            continue
        tool = str(line.get("tool"))
        then = which.key(tool, line.get("serial"), str(line.get("at")))
        if tool not in others and then == which.key(tool):
            yield line


def _said(line: Mapping[str, Any]) -> tuple[object, ...]:
    """Give the mark by which a line of a log is known in another one."""
    where = (line.get("run"), line.get("line"))
    return where if None not in where else (line.get("event"), line.get("tool"), line.get("serial"), line.get("at"))


def mend_troubles(book: Book, unsettled: Sequence[RunFolder]) -> Iterator[str]:
    """The same for all runs that may not have told everything: of those that are not settled the ones that the log
    knows as begun and not as ended."""
    for run in _going_on(book, unsettled):
        try:
            if tell_troubles(book, run, late=True):
                yield f"what happened to a tool in {run.id} is now in the book's log."
        except LedgerFault as fault:
            yield f"{run.id}: {fault.sentence}"


def _going_on(book: Book, unsettled: Sequence[RunFolder]) -> tuple[RunFolder, ...]:
    told = own_log(book).runs if unsettled else {}
    begun = (run for run in unsettled if OPENED in told.get(run.id, "") and _ENDED.isdisjoint(told[run.id]))
    return tuple(run for run in begun if run.daybook.exists())


def _untold(book: Book, run: RunFolder) -> list[dict[str, Any]]:
    """The lines that the log lacks."""
    data = read_file(run.daybook, _MOST)
    if not any(mark in data for mark in _MARKS):  # nearly always; then no line need be looked at
        return []
    found = list(_entries(run, lines.split(data)[0]))
    if not found:
        return []
    told = {(line.get("run"), line.get("line")) for line in about_tools(own_log(book).other_lines)}
    return [entry for entry in found if (entry["run"], entry["line"]) not in told]


def _entries(run: RunFolder, daybook: Iterable[bytes]) -> Iterator[dict[str, Any]]:
    """The log's lines for those of a daybook that tell something of a tool, each with the serial number of the tool
    that was taken up last by its id."""
    serials: dict[object, str] = {}
    for line in daybook:
        if not any(mark in line for mark in (*_MARKS, _TAKEN)):
            continue
        said = lines.decode(line)
        match said:
            case {"event": "tool_taken", "tool": {"id": id, "serial": str(serial)}}:
                serials[id] = serial
        entry = _entry(run, line, said)
        if entry is not None:
            tool = entry.get("tool")
            yield entry if "serial" in entry or tool not in serials else {**entry, "serial": serials[tool]}


def _entry(run: RunFolder, line: bytes, said: Mapping[str, Any]) -> dict[str, Any] | None:
    """The log's line for one of a daybook; None where that is about anything else, or only heard from elsewhere."""
    here = said.get("check") is None and said.get("trouble") is None
    if said.get("event") == "tool_dropped":
        about: dict[str, Any] = {"event": TOOL_DROPPED}
    elif said.get("event") == "tool_suspected" and here:
        about = {"event": TOOL_SUSPECTED, "why": said.get("why")}
    elif said.get("event") == "tool_taken" and isinstance(said.get("same"), bool):
        tool = said["tool"]
        about = {"event": TOLD_APART, "serial_was": said.get("serial_was"), "serial": tool.get("serial")}
        about |= {"same": said["same"], "tool": tool.get("id")}
    else:
        return None
    whose: dict[str, Any] = {key: said[key] for key in ("at", "offset", "by", "tool") if key in said}
    if "typed_at" in said:
        whose["late"] = FROM_PAPER
    where = {"run": run.id, "line": said.get("seq"), "of": lines.digest(line)}
    return {**about, **where, **whose, **about}
