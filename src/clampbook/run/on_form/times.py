"""Times that stand on a paper form: read as they are typed, never before the last one and never still to come."""

from __future__ import annotations

import re
from datetime import date, datetime, tzinfo

from clampbook.ledger.stamp import There, day_there, offset_of
from clampbook.text import quoted
from clampbook.units import show_day

_TIME = re.compile(r"(?:(\d{4}-\d{1,2}-\d{1,2}|\d{1,2}\.\d{1,2}\.\d{4})\s+)?(\d{1,2})[:.](\d{2})")
HOW = "Type it as 9:14, a new day with its date: 2026-03-03 8:10."

EARLIER = "A new day is typed with its date. The last time was wrong: *1."

WHEN_IT_BEGINS = "When does the form begin?"
BEGINNING = "Type day and time: 2026-03-02 8:10."


def looks_like_a_time(text: str) -> bool:
    """True where a time is typed, with its day or without."""
    return _TIME.fullmatch(text.strip()) is not None


def moment_on_form(
    text: str, last: str, offset: str, now: datetime | None, there: There | None = None
) -> datetime | str:
    """The moment that a typed time means, at the place and on the day of the `last` one (UTC) unless it has its date;
    or a sentence where it is none, lies before the last one, or is still to come. Without `there` the place keeps the
    offset of the last time."""
    found = _TIME.fullmatch(text.strip())
    if found is None:
        return f"{quoted(text)} is not a time. {HOW}"
    at = _at_the_place(found, last, offset, there)
    if at is None:
        return f"{quoted(text)} is no day and time. {HOW}"
    before = datetime.fromisoformat(last).astimezone(_place(offset))
    if at < before:
        since = f"{before:%H:%M} on {show_day(before.date().isoformat())}"
        return f"{quoted(text)} is before the last time, {since}. {EARLIER}"
    if now is not None and at > now:
        return f"{at:%H:%M} on {show_day(at.date().isoformat())} is still to come. Type the time on the form."
    return at


def earlier(text: str, last: str, offset: str, there: There | None = None) -> datetime | None:
    """The moment of a time that lies before the `last` one; None of any other."""
    found = _TIME.fullmatch(text.strip())
    at = None if found is None else _at_the_place(found, last, offset, there)
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


def _at_the_place(found: re.Match[str], last: str, offset: str, there: There | None) -> datetime | None:
    """A time as a clock on the wall showed it on its day, in summer time or not; None where there is no such day or
    hour. An hour that came twice is the first one that is not before the last time."""
    at = _moment(found[1] or day_there(last, offset), int(found[2]), int(found[3]), offset)
    if at is None or there is None or not _of_this_place(last, offset, there):
        return at
    shown = at.replace(tzinfo=None)
    twice = [there(shown.replace(fold=fold)) for fold in (0, 1)]
    known = sorted(each for each in twice if each.replace(tzinfo=None, fold=0) == shown)  # none, of an hour left out
    return next((each for each in known if each >= datetime.fromisoformat(last)), known[-1] if known else at)


def _of_this_place(last: str, offset: str, there: There) -> bool:
    """True where the times so far are of the place whose hours `there` knows, and the form did not move since."""
    shown = datetime.fromisoformat(last).astimezone(_place(offset)).replace(tzinfo=None)
    return any(offset_of(there(shown.replace(fold=fold))) == offset for fold in (0, 1))


def _place(offset: str) -> tzinfo | None:
    return datetime.fromisoformat(f"2000-01-01T00:00:00{offset}").tzinfo


def _moment(day: str, hour: int, minute: int, offset: str) -> datetime | None:
    try:
        year, month, of_month = map(int, day.split("-") if "-" in day else reversed(day.split(".")))
        return datetime.fromisoformat(f"{date(year, month, of_month)}T{hour:02}:{minute:02}{offset}")
    except ValueError:
        return None
