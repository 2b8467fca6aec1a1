"""The one list of what is due as facts: since when, within how many days, in which order."""

from __future__ import annotations

from datetime import UTC, date, datetime
from decimal import Decimal

import pytest

from clampbook.archive.follow_ups import FollowUp
from clampbook.book.due.entries import By, Due, in_order, of_follow_up, of_tools, within
from clampbook.book.due.words import line
from clampbook.run.use import DueByUse, Meter
from clampbook.tools.model import Stock
from clampbook.tools.reader import read_tools
from clampbook.units import Quantity

NOW = datetime(2026, 3, 20, 9, tzinfo=UTC)
TOOLS = b"""
[[tool]]
id = "w7"
name = "W7"
kind = "setting"
unit = "N\xc2\xb7m"
range = ["20 N\xc2\xb7m", "120 N\xc2\xb7m"]
resolution = "0.5 N\xc2\xb7m"
calibration_due = 2026-03-25

[[tool]]
id = "w8"
name = "W8"
kind = "setting"
unit = "N\xc2\xb7m"
range = ["20 N\xc2\xb7m", "120 N\xc2\xb7m"]
resolution = "0.5 N\xc2\xb7m"
"""


def follow_up(title: str, **known: str) -> FollowUp:
    """A follow-up of a head that was done on 2 March."""
    return FollowUp(run="20260302-head-aaaaaaaa", title=title, of="Cylinder head", done="2026-03-02", **known)  # type: ignore[arg-type]


RETORQUE = follow_up("Tighten again", equipment="4107", person="Ines", due_at="2026-03-16T10:00:00+00:00")
LOOK = follow_up("Look at it", equipment="0815", person="Maud", due_at="2026-06-02T10:00:00+00:00")
BY_USE = follow_up("After the first trip", equipment="4107", person="Maud", or_use="50 km")


def all_of_it() -> tuple[Due, ...]:
    """Three follow-ups and two tools."""
    stock = Stock(read_tools(TOOLS, "tools.toml"), (), {})
    tools = of_tools(stock, NOW.date(), date(2026, 4, 19))
    return (*(of_follow_up(each, NOW) for each in (LOOK, BY_USE, RETORQUE)), *tools)


@pytest.mark.parametrize(
    ("found", "told"),
    [
        (RETORQUE, "due since 2026-03-16"),
        (LOOK, "due 2026-06-02"),
        (BY_USE, "due after 50 km of use"),
        (
            follow_up(
                "Both",
                due_at="2026-06-02T10:00:00+00:00",
                or_use="50 km",
            ),
            "due 2026-06-02 or after 50 km of use",
        ),
    ],
)
def test_when_it_is_due_is_said_by_day_or_by_use(found: FollowUp, told: str) -> None:
    """What only use makes due has no day."""
    assert told == line(of_follow_up(found, NOW)).rpartition(" · ")[2]


def test_at_how_much_it_is_due_is_said_where_the_meter_was_read() -> None:
    """12 400 km at the first run."""
    by_use = DueByUse(Meter("Odometer", "12400", "km"), Quantity(Decimal(12450), "km"))
    found = FollowUp(
        run="r", title="After the first trip", of="Wheel", done="2026-03-02", or_use="50 km", by_use=by_use
    )

    assert line(of_follow_up(found, NOW)).endswith("due after 50 km of use, at 12450 km")


def test_within_some_days_are_what_is_over_and_what_use_may_have_made_due() -> None:
    """In ten days nobody looks at the head again; but the first trip may be over by now."""
    found = [line(each).partition(" ·")[0] for each in within(all_of_it(), date(2026, 3, 30))]

    assert [
        "After the first trip",
        "Tighten again",
        "W8: check due: never checked",
        "W7: calibration due 2026-03-25",
    ] == found


@pytest.mark.parametrize(
    ("by", "order"),
    [
        ("day", ["W8", "Tighten", "W7", "Look", "After"]),
        ("equipment", ["Look", "Tighten", "After", "W8", "W7"]),
        ("person", ["Tighten", "Look", "After", "W8", "W7"]),
    ],
)
def test_it_is_sorted_by_day_by_thing_or_by_person(by: By, order: list[str]) -> None:
    """What is over stands first, what has no thing or person last."""
    found = [line(each).replace(":", " ").split()[0] for each in in_order(all_of_it(), by)]

    assert order == found


def test_a_day_that_is_none_is_no_day() -> None:
    """A record that somebody wrote by hand."""
    found = of_follow_up(follow_up("Look", due_at="soon"), NOW)

    assert (None, False) == (found.on, found.past)


def test_the_day_is_that_of_the_place() -> None:
    """An hour before midnight there is the next day here."""
    east = datetime.fromisoformat("2026-03-20T09:00:00+09:00")

    assert "2026-03-17" == of_follow_up(follow_up("Look", due_at="2026-03-16T23:00:00+00:00"), east).on
