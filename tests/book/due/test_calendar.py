"""What is due as a calendar file, read back by another reader and held against the text of RFC 5545."""

from __future__ import annotations

from datetime import UTC, datetime

from icalendar import Calendar

from clampbook.archive.follow_ups import FollowUp
from clampbook.book.due.calendar import on_days, written
from clampbook.book.due.crossed import CrossedOff
from clampbook.book.due.entries import Due

NOW = datetime(2026, 3, 20, 9, tzinfo=UTC)
RUN = "20260302-head-aaaaaaaa"
LONG = "Tighten the head again, cold, in the same order, after the first day on the water and before the second"


def a_follow_up(title: str = "Tighten again", on: str | None = "2026-03-16", gone: CrossedOff | None = None) -> Due:
    """A follow-up of a head that was done on 2 March."""
    what = FollowUp(run=RUN, title=title, of="Cylinder head", done="2026-03-02", equipment="4107")
    return Due(what, on, on is not None and on < "2026-03-20", gone)


def crossed() -> CrossedOff:
    """Jonas said that it was done elsewhere."""
    return CrossedOff(
        event="follow_up_crossed_off",
        run=RUN,
        follow_up="Tighten again",
        at="2026-03-18T09:00:00.000Z",
        offset="+01:00",
        by="jonas",
        name="Jonas",
        reason="done on the slip",
    )


def events(data: bytes) -> list[dict[str, str]]:
    """The events of a file as another program reads them."""
    return [
        {
            str(key): str(value.to_ical(), "utf-8")
            if hasattr(value, "to_ical") and isinstance(value.to_ical(), bytes)
            else str(value)
            for key, value in each.items()
        }
        for each in Calendar.from_ical(data).walk("VEVENT")
    ]


def test_each_entry_is_a_whole_day_under_its_name() -> None:
    """RFC 5545, 3.6.1: an event of a day alone ends with the day after it, which is not part of it."""
    (event,) = events(written("k7q2m4xa", "Harbour museum", [a_follow_up()], NOW))

    assert ("20260316", "20260317") == (event["DTSTART"], event["DTEND"])
    assert "Tighten again · Cylinder head · 4107" == event["SUMMARY"]
    assert ("CONFIRMED", "TRANSPARENT") == (event["STATUS"], event["TRANSP"])
    assert "due since 2026-03-16" in event["DESCRIPTION"]


def test_a_second_file_has_the_same_names_and_those_of_another_book_differ() -> None:
    """What is taken in again moves; what another workshop has to do is not mixed up with it."""
    names = [
        events(written(book, "Harbour museum", [a_follow_up(on=on)], NOW))[0]["UID"]
        for book, on in (("k7q2m4xa", "2026-03-16"), ("k7q2m4xa", "2026-04-01"), ("zzzzzzzz", "2026-03-16"))
    ]

    assert names[0] == names[1] != names[2]


def test_what_was_crossed_off_is_cancelled() -> None:
    """Under a higher sequence, so that a calendar that has it takes it out (RFC 5546, 3.2.5)."""
    open_one, gone = (
        events(written("k7q2m4xa", "Museum", [a_follow_up(gone=each)], NOW))[0] for each in (None, crossed())
    )

    assert (open_one["UID"], "CANCELLED") == (gone["UID"], gone["STATUS"])
    assert int(gone["SEQUENCE"]) > int(open_one["SEQUENCE"])


def test_what_use_alone_makes_due_has_no_day() -> None:
    """A calendar could only guess it."""
    by_use = a_follow_up(on=None)

    assert () == on_days([by_use])
    assert [] == events(written("k7q2m4xa", "Museum", [by_use], NOW))


def test_its_lines_are_as_the_standard_wants_them() -> None:
    """RFC 5545, 3.1: CRLF behind each line, none longer than 75 bytes; 3.3.5: stamps in UTC end with Z."""
    data = written("k7q2m4xa", "Harbour museum", [a_follow_up(LONG + " · ÄÖÜ," * 9)], NOW)

    lines = data.split(b"\r\n")
    assert b"" == lines[-1] and not [each for each in lines if b"\n" in each or len(each) > 75]
    assert b"DTSTAMP:20260320T090000Z" in lines
    assert (b"BEGIN:VCALENDAR", b"END:VCALENDAR") == (lines[0], lines[-2])
    assert LONG in events(data)[0]["SUMMARY"].replace("\\,", ",")
