"""Times of lines as people read them: at the place of the work."""

from clampbook.ledger.stamp import clock_there


def test_hours_and_minutes_are_those_of_the_place() -> None:
    """22:55 in UTC is five to midnight one hour to the east, and ten minutes later it is the next day."""
    at = "2026-03-02T22:55:00.000Z"

    assert ("23:55", "00:05") == (clock_there(at, "+01:00"), clock_there(at, "+01:00", 600))


def test_a_wait_ends_on_the_clock_no_earlier_than_it_does() -> None:
    """Nine seconds past a minute are the next one; at the minute itself it is that minute."""
    assert "11:06" == clock_there("2026-03-02T10:55:09.000Z", "+00:00", 600)
    assert "11:05" == clock_there("2026-03-02T10:55:00.000Z", "+00:00", 600)


def test_what_cannot_be_read_is_no_time() -> None:
    """A damaged line has none."""
    assert (None, None) == (clock_there("soon", "+01:00"), clock_there("2026-03-02T22:55:00.000Z", "east"))
