"""Times on a paper form: read as people write them, rising, and never still to come."""

from __future__ import annotations

import time
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta, timezone

import pytest

from clampbook.ledger.stamp import SystemClock, there_at
from clampbook.plain.clock import clock_of
from clampbook.run.on_form.times import beginning_of, looks_like_a_time, moment_on_form

LAST = "2026-03-02T08:14:00.000Z"  # 9:14 at the place
NOW = datetime(2026, 3, 5, 12, 0, tzinfo=UTC)
PLACE = timezone(timedelta(hours=1))


def at_place(at: datetime) -> datetime:
    """An hour before UTC all the year round."""
    return at.replace(tzinfo=PLACE)


@pytest.mark.parametrize(
    ("typed", "at"),
    [
        ("9:20", datetime(2026, 3, 2, 9, 20, tzinfo=PLACE)),
        ("09.20", datetime(2026, 3, 2, 9, 20, tzinfo=PLACE)),  # a numeric pad has no colon
        ("9:14", datetime(2026, 3, 2, 9, 14, tzinfo=PLACE)),
        ("2026-03-03 8:10", datetime(2026, 3, 3, 8, 10, tzinfo=PLACE)),
        ("2026-3-3 8.10", datetime(2026, 3, 3, 8, 10, tzinfo=PLACE)),
        ("3.3.2026 8.10", datetime(2026, 3, 3, 8, 10, tzinfo=PLACE)),  # as a hand writes it
    ],
)
def test_a_time_is_that_of_the_place_on_the_day_before_it_or_its_own(typed: str, at: datetime) -> None:
    """The day is typed only where it is another one."""
    assert looks_like_a_time(typed)
    assert at == moment_on_form(typed, LAST, "+01:00", NOW)


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        (
            "9:13",
            "“9:13” is before the last time, 09:14 on 2 March 2026. A new day is typed with its date. "
            "The last time was wrong: *1.",
        ),
        ("2026-03-05 13:01", "13:01 on 5 March 2026 is still to come. Type the time on the form."),
        ("25:00", "“25:00” is no day and time. Type it as 9:14, a new day with its date: 2026-03-03 8:10."),
        ("22.1", "“22.1” is not a time. Type it as 9:14, a new day with its date: 2026-03-03 8:10."),
    ],
)
def test_a_time_that_falls_or_is_still_to_come_is_refused(typed: str, told: str) -> None:
    """Each with a sentence that says how it is typed."""
    assert told == moment_on_form(typed, LAST, "+01:00", NOW)


def test_a_form_of_summer_that_is_typed_in_winter_has_the_time_of_summer(monkeypatch: pytest.MonkeyPatch) -> None:
    """In Berlin 8:10 of 2 July is 6:10 in UTC; a clock that was handed in keeps its own."""
    monkeypatch.setenv("TZ", "Europe/Berlin")
    time.tzset()
    try:
        of_the_machine = there_at(SystemClock())(datetime(2026, 7, 2, 8, 10, tzinfo=UTC))
    finally:
        monkeypatch.undo()
        time.tzset()
    handed_in = there_at(clock_of("2026-11-30T09:00:00+01:00"))(datetime(2026, 7, 2, 8, 10, tzinfo=UTC))

    assert "2026-07-02T08:10:00+02:00" == of_the_machine.isoformat()
    assert "2026-07-02T08:10:00+01:00" == handed_in.isoformat()


def test_a_form_begins_on_a_day_and_at_a_time_that_are_over() -> None:
    """Both are typed, at the place of whoever types."""
    now = datetime(2026, 3, 5, 13, 0, tzinfo=PLACE)

    assert datetime(2026, 3, 2, 8, 10, tzinfo=PLACE) == beginning_of("2026-03-02 8:10", now, at_place)
    assert "“2026-03-05 13:01” is still to come. Type day and time: 2026-03-02 8:10." == beginning_of(
        "2026-03-05 13:01", now, at_place
    )
    assert "“8:10” is no day and time. Type day and time: 2026-03-02 8:10." == beginning_of("8:10", now, at_place)


class TestTheChangeOfClocks:
    """Paper shows the clock on the wall: in Berlin summer time began on 29 March and ended on 25 October 2026."""

    @pytest.fixture(autouse=True)
    def berlin(self, monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
        """The machine stands in Berlin."""
        monkeypatch.setenv("TZ", "Europe/Berlin")
        time.tzset()
        yield
        monkeypatch.undo()
        time.tzset()

    @pytest.mark.parametrize(
        ("last", "offset", "typed", "at"),
        [
            ("2026-03-28T16:00:00.000Z", "+01:00", "2026-03-29 8:10", "2026-03-29T08:10:00+02:00"),
            ("2026-03-29T00:30:00.000Z", "+01:00", "3:10", "2026-03-29T03:10:00+02:00"),
            ("2026-03-29T00:30:00.000Z", "+01:00", "2:40", "2026-03-29T02:40:00+01:00"),  # a watch not put forward yet
            ("2026-10-24T15:00:00.000Z", "+02:00", "2026-10-25 8:10", "2026-10-25T08:10:00+01:00"),
            ("2026-10-24T23:50:00.000Z", "+02:00", "2:20", "2026-10-25T02:20:00+02:00"),
            ("2026-10-25T00:40:00.000Z", "+02:00", "2:20", "2026-10-25T02:20:00+01:00"),  # it came twice
        ],
    )
    def test_a_time_is_that_of_the_wall_on_its_own_day(self, last: str, offset: str, typed: str, at: str) -> None:
        """Whatever it was as the form began."""
        found = moment_on_form(typed, last, offset, datetime(2026, 11, 30, tzinfo=UTC), there_at(SystemClock()))

        assert isinstance(found, datetime)
        assert at == found.isoformat()

    def test_a_form_of_another_place_keeps_its_own_time(self) -> None:
        """The times so far were never those of Berlin."""
        now, last = datetime(2026, 11, 30, tzinfo=UTC), "2026-10-24T15:00:00.000Z"
        found = moment_on_form("2026-10-25 8:10", last, "-05:00", now, there_at(SystemClock()))

        assert isinstance(found, datetime)
        assert "2026-10-25T08:10:00-05:00" == found.isoformat()
