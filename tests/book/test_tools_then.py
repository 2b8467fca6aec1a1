"""Tools as they were at the time of a paper form that is typed in later."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest

from clampbook.book import toolbox
from clampbook.book.book import Book
from clampbook.tools.pull_counts import since
from museum import museum

FELL = {"event": "tool_dropped", "tool": "w1", "run": "x", "line": 3, "offset": "+00:00", "by": "ines"}
FAILED = {"event": "tool_checked", "check": "c1", "tool": "w1", "as_found": "failed", "worst": "9"}
PASSED = {"event": "tool_checked", "check": "c2", "tool": "w1", "as_found": "passed", "worst": "1"}


@pytest.fixture
def book(tmp_path: Path) -> Book:
    """A book whose W1 fell on 1 May, failed on 1 June and passed on 1 July."""
    made = museum(tmp_path / "book")
    serial = toolbox.tool_named(made, "W1").serial
    with made.log() as log:
        for month, line in ((5, FELL), (6, FAILED), (7, PASSED)):
            said: dict[str, Any] = {**line, "serial": serial, "at": f"2031-0{month}-01T10:00:00.000Z"}
            log.append(said)
    return made


@pytest.mark.parametrize(
    ("month", "verdict", "fell"), [(4, None, False), (5, None, True), (6, "failed", True), (7, "passed", False)]
)
def test_each_month_knows_what_was_known_then(book: Book, month: int, verdict: str | None, fell: bool) -> None:
    """A fall or a check that came after it is not held against a tool, nor for it."""
    known = toolbox.stock(book, datetime(2031, month, 2, tzinfo=UTC)).use("w1")
    check = known.last_check

    assert (verdict, fell) == (check.verdict if check is not None else None, bool(known.troubles))


def test_pulls_count_until_then() -> None:
    """Those of its very day as well."""
    days = {"2031-05-01": 3, "2031-05-02": 4, "2031-05-03": 5}

    assert since(days, "2031-05-02", "2031-05-02") == 4
    assert since(days, None, "2031-05-02") == 7
    assert since(days, "2031-05-02") == 9
