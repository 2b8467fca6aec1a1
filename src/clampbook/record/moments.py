"""The moment of writing, as the clock on the wall showed it: local time with its offset."""

from __future__ import annotations

from datetime import datetime, timedelta, tzinfo
from decimal import Decimal
from functools import lru_cache

from clampbook.run.events import Event
from clampbook.work.frozen import RecordFault


def moment(event: Event) -> datetime:
    """The time of a line, at the offset of its place; raises RecordFault where the line holds no time."""
    return _read(event, event.at)


def _read(event: Event, text: str) -> datetime:
    try:
        when = datetime.fromisoformat(text)
        if when.tzinfo is None:  # it would be taken for the time of whatever machine reads it
            raise ValueError("no zone")
        return when.astimezone(_zone(event.offset))
    except (ValueError, OverflowError) as error:
        raise RecordFault(f"daybook.jsonl, line {event.seq}: {text!r} and {event.offset!r} are no time.") from error


def local(event: Event) -> str:
    """The same as text: "2026-03-02T10:14:07.123+01:00"."""
    return shown(moment(event))


def at_its_place(event: Event, at: str) -> str:
    """A time (UTC) that a line holds beside its own, in the same way."""
    return shown(_read(event, at))


def typed(event: Event) -> str | None:
    """The time of typing a line that has the time of a paper form, in the same way; None of any other."""
    return None if event.typed_at is None else shown(_read(event, event.typed_at))


def shown(when: datetime) -> str:
    """A time in ISO 8601, to the millisecond unless it is finer."""
    return when.isoformat(timespec="microseconds" if when.microsecond % 1000 else "milliseconds")


def later(event: Event, seconds: Decimal) -> str | None:
    """The time so many seconds after a line, at the same offset; None where no calendar reaches that far."""
    if not seconds.is_finite() or abs(seconds.adjusted()) > 20:
        return None
    try:
        return shown(moment(event) + timedelta(microseconds=int(seconds * 1_000_000)))
    except OverflowError:
        return None


def lapse(since: str, until: str) -> Decimal | None:
    """Seconds between two times as the daybook holds them; None where one of them is no time."""
    try:
        passed = datetime.fromisoformat(until) - datetime.fromisoformat(since)
    except (ValueError, TypeError):
        return None
    return Decimal(passed // timedelta(microseconds=1)) / 1_000_000


@lru_cache(maxsize=64)
def _zone(offset: str) -> tzinfo:
    zone = datetime.fromisoformat(f"2000-01-01T00:00:00{offset}").tzinfo
    if zone is None:
        raise ValueError("no offset")
    return zone
