"""Times that stand on a paper form: read as they are typed, never before the last one and never still to come."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date, datetime

from clampbook.ledger.stamp import day_there
from clampbook.text import quoted
from clampbook.units import show_day

_TIME = re.compile(r"(?:(\d{4}-\d{1,2}-\d{1,2})\s+)?(\d{1,2})[:.](\d{2})")
HOW = "Type it as 9:14, a new day with its date: 2026-03-03 8:10."


EARLIER = "A new day is typed with its date. Another row first: *2. The last time was wrong: *1."

There = Callable[[datetime], datetime]  # gives a time without an offset that of the place on its day

WHEN_IT_BEGINS = "When does the form begin?"
BEGINNING = "Type day and time: 2026-03-02 8:10."


def looks_like_a_time(text: str) -> bool:
    """True where a time is typed, with its day or without."""
    return _TIME.fullmatch(text.strip()) is not None


def moment_on_form(text: str, last: str, offset: str, now: datetime | None) -> datetime | str:
    """The moment that a typed time means, at the place and on the day of the `last` one (UTC) unless it has its date;
    or a sentence where it is none, lies before the last one, or is still to come."""
    found = _TIME.fullmatch(text.strip())
    if found is None:
        return f"{quoted(text)} is not a time. {HOW}"
    day = found[1] or day_there(last, offset)
    at = _moment(day, int(found[2]), int(found[3]), offset)
    if at is None:
        return f"{quoted(text)} is no day and time. {HOW}"
    before = datetime.fromisoformat(last).astimezone(at.tzinfo)
    if at < before:
        since = f"{before:%H:%M} on {show_day(before.date().isoformat())}"
        return f"{quoted(text)} is before the last time, {since}. {EARLIER}"
    if now is not None and at > now:
        return f"{at:%H:%M} on {show_day(at.date().isoformat())} is still to come. Type the time on the form."
    return at


def earlier(text: str, last: str, offset: str) -> datetime | None:
    """The moment of a time that lies before the `last` one; None of any other."""
    found = _TIME.fullmatch(text.strip())
    at = None if found is None else _moment(found[1] or day_there(last, offset), int(found[2]), int(found[3]), offset)
    return at if at is not None and at < datetime.fromisoformat(last) else None


def beginning_of(text: str, now: datetime, there: There) -> datetime | str:
    """The day and time at which a form begins, `there`; or a sentence where it is none, or still to come."""
    found = _TIME.fullmatch(text.strip())
    if found is None or found[1] is None:
        return f"{quoted(text)} is no day and time. {BEGINNING}"
    named = _moment(found[1], int(found[2]), int(found[3]), "+00:00")
    if named is None:
        return f"{quoted(text)} is no day and time. {BEGINNING}"
    at = there(named)
    return at if at <= now else f"{quoted(text)} is still to come. {BEGINNING}"


def _moment(day: str, hour: int, minute: int, offset: str) -> datetime | None:
    try:
        year, month, of_month = map(int, day.split("-"))
        return datetime.fromisoformat(f"{date(year, month, of_month)}T{hour:02}:{minute:02}{offset}")
    except ValueError:
        return None
