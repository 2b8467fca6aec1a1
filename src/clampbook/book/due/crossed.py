"""Follow-ups that are crossed off: done elsewhere, or not needed, as somebody says in the book's log with a reason.

Nothing is taken away: the run, its record and the follow-up stay, and the line in the log is told wherever they are.
What was crossed off by mistake is due again by another line.
"""

from __future__ import annotations

import heapq
from collections.abc import Iterator, Sequence
from operator import itemgetter
from typing import Any

import msgspec

from clampbook.archive.follow_ups import FollowUp
from clampbook.book.book import Book
from clampbook.book.settled import lines_of_logs
from clampbook.ledger.lines import UNREADABLE, telling
from clampbook.ledger.refusals import LedgerFault
from clampbook.ledger.stamp import Stamp, day_there
from clampbook.people import Person
from clampbook.text import as_sentence, clean, printable
from clampbook.units import show_day

CROSSED_OFF, DUE_AGAIN = "follow_up_crossed_off", "follow_up_due_again"
EVENTS = (CROSSED_OFF, DUE_AGAIN)
_TELLS = telling(*EVENTS)
_MOST = 200  # characters of a reason


class CrossedOff(msgspec.Struct, frozen=True, kw_only=True):
    """The line of the log by which a follow-up of a run is crossed off: by whom, when and why."""

    run: str
    follow_up: str
    reason: str
    name: str
    at: str
    offset: str = "+00:00"
    by: str = ""
    event: str = CROSSED_OFF

    @property
    def on(self) -> str:
        """The day at the place where it was said."""
        return day_there(self.at, self.offset)

    @property
    def says(self) -> str:
        """The line as a sentence; the log of another book may hold any sign."""
        title, name, reason = map(printable, (self.follow_up, self.name, self.reason))
        return as_sentence(f"Follow-up “{title}” crossed off by {name} on {show_day(self.on)}: {reason}")


_read = msgspec.json.Decoder(CrossedOff).decode


def crossed_off(book: Book) -> dict[tuple[str, str], CrossedOff]:
    """The follow-ups that are crossed off, by run and title; of two lines about one the first. Raises LedgerFault."""
    found: dict[tuple[str, str], CrossedOff] = {}
    for each in _told(book):
        if each.event == DUE_AGAIN:
            found.pop((each.run, each.follow_up), None)
        else:
            found.setdefault((each.run, each.follow_up), each)
    return found


def _told(book: Book) -> Iterator[CrossedOff]:
    """The lines of books that were merged into this one and of its own log, in the order of their times."""
    own, *merged = lines_of_logs(book)
    return (each for _, each in heapq.merge(*map(_in, (*merged, own)), key=itemgetter(0)))


def _in(log: Sequence[bytes]) -> Iterator[tuple[str, CrossedOff]]:
    """The lines of one log, each with its time: never earlier than the line before it, whatever the clock showed."""
    latest = ""
    for line in log:
        if _TELLS.search(line):
            try:
                said = _read(line)
            except UNREADABLE:
                continue  # verifying the book names the line; a list of what is due leaves nothing off for it
            latest = max(latest, said.at)
            yield latest, said


def due_again(book: Book, found: FollowUp, person: Person, reason: str, stamp: Stamp) -> CrossedOff:
    """Write into the log that a follow-up was crossed off by mistake. Raises LedgerFault, TextFault."""
    why = _reason(reason, "why it is due again")
    with book.log() as log:
        if found.named not in crossed_off(book):
            raise LedgerFault(f"{printable(found.title)} of {found.run} is not crossed off")
        log.append(line := _line(DUE_AGAIN, found, person, why, stamp))
    return msgspec.convert(line, CrossedOff)


def cross_off(book: Book, found: FollowUp, person: Person, reason: str, stamp: Stamp) -> CrossedOff:
    """Write into the log that a follow-up is crossed off. Raises LedgerFault, TextFault."""
    why = _reason(reason, "why it is crossed off, such as where and when it was done")
    with book.log() as log:
        known = crossed_off(book).get(found.named)
        if known is not None:
            raise LedgerFault(f"{printable(found.title)} of {found.run} is crossed off already, by {known.name}")
        log.append(line := _line(CROSSED_OFF, found, person, why, stamp))
    return msgspec.convert(line, CrossedOff)


def _reason(typed: str, wanted: str) -> str:
    why = clean(typed, what="the reason", most=_MOST)
    if not why:
        raise LedgerFault(f"say {wanted}")
    return why


def _line(event: str, found: FollowUp, person: Person, why: str, stamp: Stamp) -> dict[str, Any]:
    about = {"event": event, "run": found.run, "follow_up": found.title, "reason": why, "name": person.name}
    return {**about, "at": stamp.text, "offset": stamp.offset, "by": person.id}
