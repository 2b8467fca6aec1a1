"""What a book's log says of its tools, from its lines alone."""

from __future__ import annotations

from typing import Any

import pytest

from clampbook.check.standing import (
    CHECK_OPENED,
    TOOL_CHECKED,
    TOOL_DROPPED,
    TOOL_SUSPECTED,
    TOOL_WITHDRAWN,
    about_tools,
    standing,
)
from clampbook.ledger.refusals import LedgerFault
from clampbook.tools.model import Trouble


def line(event: str, day: str, found: str | None = None, **more: Any) -> dict[str, Any]:
    """A line of the log about a check of W5 on a day in March."""
    at = f"2026-03-{day}T09:00:00.000Z"
    return {"event": event, "tool": "w5", "check": f"check of the {day}", "at": at, "as_found": found} | more


def test_an_older_check_that_came_in_late_does_not_undo_a_failure() -> None:
    """W5 failed on the 20th; a merged book brings that it was right on the 10th."""
    found = standing(
        [
            line(TOOL_WITHDRAWN, "20", worst="7.1"),
            line(TOOL_CHECKED, "20", "failed", worst="7.1"),
            line(TOOL_CHECKED, "10", "passed", late="later_start"),
        ]
    )

    assert ("failed", "2026-03-20") == (found.last["w5"].verdict, found.last["w5"].on)
    assert ["2026-03-10T09:00:00.000Z"] == [failure.good_until for failure in found.failures]
    assert [None] == [failure.good_again for failure in found.failures]


def test_a_failure_that_came_in_late_counts_from_its_own_day() -> None:
    """It was put right on the 20th; that another book found it off on the 10th is known, and over."""
    found = standing(
        [
            line(TOOL_CHECKED, "05", "passed"),
            line(TOOL_CHECKED, "20", "passed"),
            line(TOOL_WITHDRAWN, "10", worst="7.1", late="later_start"),
        ]
    )

    assert ("passed", "2026-03-20") == (found.last["w5"].verdict, found.last["w5"].on)
    assert [("2026-03-05T09:00:00.000Z", "2026-03-20T09:00:00.000Z")] == [
        (failure.good_until, failure.good_again) for failure in found.failures
    ]


def test_lines_written_on_the_spot_keep_the_order_of_the_log_where_a_clock_went_back() -> None:
    """The failure was written last, so it stands, whatever the clock said."""
    found = standing([line(TOOL_CHECKED, "20", "passed"), line(TOOL_WITHDRAWN, "10", worst="7.1")])

    assert "failed" == found.last["w5"].verdict


def test_a_tool_that_an_adjustment_left_outside_has_failed() -> None:
    """It was right as found; what was pulled with it after the adjustment is in question."""
    found = standing([line(TOOL_CHECKED, "20", "passed", as_left="failed", worst="9.0")])

    assert [("2026-03-20T09:00:00.000Z", None)] == [(each.good_until, each.good_again) for each in found.failures]


def fell(day: str, number: int = 31, **more: Any) -> dict[str, Any]:
    """The line of the log about W5 that fell in a run, near midnight in a place one hour ahead of UTC."""
    at = f"2026-03-{day}T23:30:00.000Z"
    return {"event": TOOL_DROPPED, "tool": "w5", "run": "hub", "line": number, "at": at, "offset": "+01:00", **more}


def test_a_tool_that_fell_is_in_trouble_until_it_passes_a_check() -> None:
    """One that decides nothing leaves it so; the day is that of the place."""
    dropped = Trouble(kind="dropped", at="2026-03-10T23:30:00.000Z", on="2026-03-11", run="hub", line=31)
    undecided, passed = line(TOOL_CHECKED, "12", "undecided"), line(TOOL_CHECKED, "14", "passed")

    assert (dropped,) == standing([fell("10"), undecided]).troubles("w5")
    found = standing([fell("10"), undecided, passed])
    assert () == found.troubles("w5")
    assert ["2026-03-14T09:00:00.000Z"] == [each.good_again for each in found.happened]


def test_a_check_says_nothing_of_a_fall_while_it_was_done() -> None:
    """Begun on the 8th, W5 fell on the 10th, and the check was closed within on the 12th: only a new one clears it."""
    begun, closed = line(CHECK_OPENED, "08", check="slow"), line(TOOL_CHECKED, "12", "passed", check="slow")
    log = [begun, fell("10"), closed]
    assert 1 == len(standing(log).troubles("w5"))

    begun_after, passed = line(CHECK_OPENED, "13", check="new"), line(TOOL_CHECKED, "14", "passed", check="new")
    assert () == standing([*log, begun_after, passed]).troubles("w5")


def test_a_suspicion_says_why() -> None:
    """In the words of whoever suspects it."""
    (trouble,) = standing([fell("10", event=TOOL_SUSPECTED, why="readings drift")]).troubles("w5")

    assert ("suspect", "readings drift") == (trouble.kind, trouble.why)


def test_a_drop_that_came_in_late_was_looked_at_by_the_check_after_it() -> None:
    """The program ended before the log could be told; meanwhile the tool passed."""
    assert () == standing([line(TOOL_CHECKED, "14", "passed"), fell("10", late="later")]).troubles("w5")
    assert 1 == len(standing([line(TOOL_CHECKED, "10", "passed"), fell("14", late="later")]).troubles("w5"))


def test_the_same_drop_told_twice_is_one() -> None:
    """Two programs that both found the line missing wrote it."""
    assert 1 == len(standing([fell("10"), fell("10", late="later")]).troubles("w5"))


@pytest.mark.parametrize(
    ("entry", "key"),
    [
        (b'{"seq":2,"event":"tool_checked","tool":"w5","check":{},"at":"2026-03-02T09:00:00.000Z"}', "check"),
        (b'{"seq":2,"event":"tool_withdrawn","tool":["w5"],"check":"x"}', "tool"),
        (b'{"seq":2,"event":"tool_dropped","tool":"w5","at":20260302,"run":"x","line":3}', "at"),
    ],
)
def test_a_line_of_the_wrong_kind_is_told_and_not_passed_over(entry: bytes, key: str) -> None:
    """It may say that a tool failed: nobody goes on as if it had never been written."""
    with pytest.raises(LedgerFault, match=f"the book's log, line 2, tells of a tool, and its '{key}' is no text"):
        about_tools([b'{"event":"run_opened","run":"x"}', entry])


def test_a_line_that_cannot_be_read_at_all_is_told_elsewhere() -> None:
    """By the chain of the log."""
    assert [] == about_tools([b'{"event":"tool_checked","tool":'])
