"""Follow-ups that are crossed off: done elsewhere, or not needed, as somebody says in the book's log with a reason.

Nothing is taken away: the run, its record and the follow-up stay, and the line in the log is told wherever they are.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

import msgspec

from clampbook.archive.follow_ups import FollowUp
from clampbook.book.book import Book
from clampbook.ledger import ledger
from clampbook.ledger.lines import UNREADABLE, telling
from clampbook.ledger.refusals import LedgerFault
from clampbook.ledger.stamp import Stamp
from clampbook.people import Person
from clampbook.text import clean, printable
from clampbook.units import show_day

CROSSED_OFF = "follow_up_crossed_off"
_TELLS = telling(CROSSED_OFF)
_MOST = 200  # characters of a reason


class CrossedOff(msgspec.Struct, frozen=True, kw_only=True):
    """The line of the log by which a follow-up of a run is crossed off: by whom, when and why."""

    run: str
    follow_up: str
    reason: str
    name: str
    at: str
    by: str = ""

    @property
    def says(self) -> str:
        """The line as a sentence."""
        when = show_day(self.at)
        return f"Follow-up “{self.follow_up}” crossed off by {self.name} on {when}: {self.reason}"


_read = msgspec.json.Decoder(CrossedOff).decode


def crossed_off(book: Book) -> dict[tuple[str, str], CrossedOff]:
    """The follow-ups that are crossed off, by run and title; of two lines about one the first. Raises LedgerFault."""
    found: dict[tuple[str, str], CrossedOff] = {}
    for each in _told(book):
        found.setdefault((each.run, each.follow_up), each)
    return found


def _told(book: Book) -> Iterator[CrossedOff]:
    """The lines of this book's log, then those of books that were merged into it."""
    yield from _in(book.log_lines())
    for path in book.merged_logs():
        yield from _in(ledger.read(path)[0])


def _in(log: Sequence[bytes]) -> Iterator[CrossedOff]:
    for line in log:
        if _TELLS.search(line):
            try:
                yield _read(line)
            except UNREADABLE:
                continue  # verifying the book names the line; a list of what is due leaves nothing off for it


def cross_off(book: Book, found: FollowUp, person: Person, reason: str, stamp: Stamp) -> CrossedOff:
    """Write into the log that a follow-up is crossed off. Raises LedgerFault, TextFault."""
    why = clean(reason, what="the reason", most=_MOST)
    if not why:
        raise LedgerFault("say why it is crossed off, such as where and when it was done")
    fields: dict[str, Any] = {"run": found.run, "follow_up": found.title, "reason": why, "name": person.name}
    with book.log() as log:
        known = crossed_off(book).get(found.named)
        if known is not None:
            raise LedgerFault(f"{printable(found.title)} of {found.run} is crossed off already, by {known.name}")
        log.append({"event": CROSSED_OFF, **fields, "at": stamp.text, "offset": stamp.offset, "by": person.id})
    return CrossedOff(**fields, at=stamp.text, by=person.id)
