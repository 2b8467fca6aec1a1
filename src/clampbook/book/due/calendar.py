"""The list of what is due as a calendar file (RFC 5545): a day for each entry, under a name that stays the same.

A calendar that takes in a second file moves what it has from the first instead of showing it twice.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import UTC, date, datetime, timedelta
from hashlib import sha256
from typing import Any, assert_never

from icalendar import Calendar, Event

from clampbook.archive.follow_ups import FollowUp
from clampbook.book.due.entries import Comparison, Due
from clampbook.book.due.words import line
from clampbook.text import printable
from clampbook.tools.state import Due as OfTool

_MAKER = "-//Clampbook//What is due//EN"


def on_days(entries: Iterable[Due]) -> tuple[Due, ...]:
    """Those that a calendar has a day for: use alone makes the others due."""
    return tuple(entry for entry in entries if entry.on is not None)


def written(book: str, name: str, entries: Iterable[Due], now: datetime) -> bytes:
    """Write the entries that have a day, of the book with this id and name. One that was crossed off is cancelled
    there, so that it leaves the calendar it was taken into."""
    calendar = Calendar()
    calendar.add("prodid", _MAKER)
    calendar.add("version", "2.0")
    calendar.add("method", "PUBLISH")
    calendar.add("name", printable(name))
    for entry in on_days(entries):
        calendar.add_component(_event(book, entry, now))
    return bytes(calendar.to_ical())


def _event(book: str, entry: Due, now: datetime) -> Event:
    day = date.fromisoformat(str(entry.on))
    told: dict[str, Any] = {
        "uid": f"{_name(book, entry)}@clampbook",
        "dtstamp": now.astimezone(UTC),
        "dtstart": day,
        "dtend": day + timedelta(days=1),
        "summary": printable(_summary(entry)),
        "description": printable(line(entry)),
        "transp": "TRANSPARENT",  # whoever has something due that day is not busy all of it
        "sequence": 0 if entry.crossed_off is None else 1,
        "status": "CONFIRMED" if entry.crossed_off is None else "CANCELLED",
    }
    event = Event()
    for key, value in told.items():
        event.add(key, value)
    return event


def _name(book: str, entry: Due) -> str:
    """Name an entry among those of all books; tomorrow it has the same name."""
    return sha256("\n".join((book, *_of(entry))).encode()).hexdigest()[:32]


def _of(entry: Due) -> tuple[str, ...]:
    match entry.what:
        case FollowUp(run=run, title=title):
            return "follow_up", run, title
        case OfTool(tool=tool, kind=kind):
            return kind, tool.id
        case Comparison(path=path):
            return "comparison", path.stem
        case _ as never:
            assert_never(never)


def _summary(entry: Due) -> str:
    match entry.what:
        case FollowUp(title=title, of=of):
            return " · ".join(filter(None, (title, of, entry.equipment)))
        case OfTool(tool=tool, kind=kind):
            return f"{tool.name}: {kind} due"
        case Comparison(title=title, revision=revision):
            return f"Compare again: {title}, revision {revision}"
        case _ as never:
            assert_never(never)
