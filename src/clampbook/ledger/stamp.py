"""The time and the people of a line as it is written, and the clocks that tell the time."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Protocol


class Clock(Protocol):
    """The source of the time."""

    def now(self) -> datetime:
        """The time now, with the offset of the place."""
        ...


class SystemClock:
    """The clock of the machine."""

    def now(self) -> datetime:
        """The time now, with the offset of the place."""
        return datetime.now(UTC).astimezone()


There = Callable[[datetime], datetime]  # gives a time without an offset that of the place on its day


def there_at(clock: Clock) -> There:
    """Give a time without an offset that of the place on its day: by the clock of the machine summer has another than
    winter, and any other clock keeps its own."""
    if isinstance(clock, SystemClock):
        return lambda at: at.replace(tzinfo=None).astimezone()
    zone = clock.now().tzinfo
    return lambda at: at.replace(tzinfo=zone)


@dataclass(frozen=True, slots=True)
class Stamp:
    """The time and the people of a line: `at` in UTC, `offset` of the place such as "+01:00", ids of who
    typed and who did the work.
    """

    at: datetime
    offset: str
    by: str
    done_by: str | None = None
    after: str = ""  # the hash of the line before, by which a sample is drawn
    typed: datetime | None = None  # when it is typed, where `at` is the time on a paper form

    @property
    def other_hands(self) -> str | None:
        """The id of who did the work, where that is not who typed."""
        return self.done_by if self.done_by != self.by else None

    @property
    def text(self) -> str:
        """The time as a line holds it, to the millisecond."""
        return in_utc(self.at)

    @property
    def typed_text(self) -> str | None:
        """The time of typing in the same way; None where that is the time itself."""
        return None if self.typed is None else in_utc(self.typed)

    @property
    def when(self) -> dict[str, str]:
        """The fields of a line that say when."""
        return {"at": self.text, "offset": self.offset}


def in_utc(at: datetime) -> str:
    """A time as a line holds it, to the millisecond."""
    return at.astimezone(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")


def stamp_of(at: datetime, by: str = "", done_by: str | None = None, after: str = "") -> Stamp:
    """The stamp of a moment that knows the offset of its place."""
    return Stamp(at, offset_of(at), by, done_by, after)


def offset_of(at: datetime) -> str:
    """The offset of a time, such as "+01:00"."""
    text = at.isoformat(timespec="seconds")
    return text[-6:] if text[-6] in "+-" else "+00:00"


def day_there(at: str, offset: str) -> str:
    """The day (ISO 8601) of a line's time at its own place; that of UTC where no offset can be read."""
    try:
        place = datetime.fromisoformat(f"2000-01-01T00:00:00{offset}").tzinfo
        return datetime.fromisoformat(at).astimezone(place or UTC).date().isoformat()
    except ValueError:
        return at[:10]


def clock_there(at: str, offset: str, later: float = 0, *, seconds: bool = False) -> str | None:
    """Hours and minutes at the place of a line, so many seconds after its time; None where that cannot be read.

    A time that is still to come is the next whole minute, or second where `seconds` are shown: whoever looks at a
    clock then is never early.
    """
    try:
        place = datetime.fromisoformat(f"2000-01-01T00:00:00{offset}").tzinfo
        there = datetime.fromisoformat(at).astimezone(place or UTC) + timedelta(seconds=later)
        if seconds:
            return f"{there + timedelta(seconds=1) if later and there.microsecond else there:%H:%M:%S}"
        started = later and (there.second or there.microsecond)
        return f"{there + timedelta(minutes=1) if started else there:%H:%M}"
    except ValueError:
        return None
