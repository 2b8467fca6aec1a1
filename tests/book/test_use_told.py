"""The pulls that a log tells of, added up: they stay with the tool that made them, whatever people say of it later."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from clampbook.book.book import TOOLS, Book
from clampbook.book.log_told import KEPT
from clampbook.book.settled import own_log, settled
from clampbook.book.told_apart import identities
from clampbook.book.toolbox import add_pulls, counts, stock
from clampbook.ledger.refusals import LedgerFault
from sealing import sealed, walked
from sealing import shop as shop_of_covers

W5 = """\
[[tool]]
id = "w5"
name = "W5"
kind = "setting"
unit = "N·m"
range = ["20 N·m", "100 N·m"]
resolution = "0.5 N·m"
serial = "{serial}"
"""
DAY = "2026-03-02"


@pytest.fixture
def shop(book: Book) -> Book:
    """A book with the torque tool W5, number HM-1."""
    numbered(book, "HM-1")
    return book


def numbered(book: Book, serial: str) -> None:
    """This number stands in the entry of W5 now."""
    book.path(TOOLS).write_text(W5.format(serial=serial), encoding="utf-8")


def pulled(book: Book, hour: int, count: int) -> None:
    """So many pulls of the tool that has the number in the entry, told in the log at this hour."""
    stamp = {"at": f"{DAY}T{hour:02}:00:00.000Z", "offset": "+00:00", "by": "ines"}
    add_pulls(book, book.tools()[0], count, date.fromisoformat(DAY), stamp)


def said(book: Book, hour: int, was: str, now: str, *, same: bool) -> None:
    """A person says at this hour what a new number means; the line may reach the log later."""
    about = {"event": "tool_told_apart", "tool": "w5", "serial_was": was, "serial": now, "same": same}
    with book.log() as log:
        log.append({**about, "name": "Ines", "at": f"{DAY}T{hour:02}:00:00.000Z", "offset": "+00:00", "by": "ines"})


def again(book: Book) -> dict[str, int]:
    """All pulls of each tool, as a program counts them that has read nothing before."""
    settled(book, anew=True)
    return {tool: sum(days.values()) for tool, days in counts(Book.open(book.root)).items()}


def test_another_tool_under_the_id_starts_at_none(shop: Book) -> None:
    """Forty pulls of the first one, three of the second one, all on one day."""
    pulled(shop, 8, 40)
    said(shop, 9, "HM-1", "HM-2", same=False)
    numbered(shop, "HM-2")
    pulled(shop, 10, 3)

    assert {"w5": 40, "w5 hm-2": 3} == again(shop)
    assert 3 == stock(shop).use("w5").pulls


def test_a_mistyped_number_keeps_all_pulls(shop: Book) -> None:
    """The same tool under both numbers."""
    pulled(shop, 8, 40)
    said(shop, 9, "HM-1", "HM-2", same=True)
    numbered(shop, "HM-2")
    pulled(shop, 10, 3)

    assert {"w5": 43} == again(shop)


def test_what_is_said_late_parts_pulls_that_were_counted_together(shop: Book) -> None:
    """No number was told with the pulls: those before the change are of the first tool, those after it of the second,
    though the log told of the change only when both had been counted."""
    shop.path(TOOLS).write_text("\n".join(W5.splitlines()[:-1]), encoding="utf-8")
    pulled(shop, 8, 40)
    pulled(shop, 10, 3)
    assert {"w5": 43} == again(shop)
    said(shop, 9, "HM-1", "HM-2", same=False)

    assert {"w5": {DAY: 40}, "w5 hm-2": {DAY: 3}} == counts(shop)
    assert {"w5": 40, "w5 hm-2": 3} == again(shop)


def test_the_number_that_was_known_last_is_asked_about(shop: Book) -> None:
    """It goes to and fro between two numbers that somebody was asked about; then a third one stands there."""
    pulled(shop, 8, 1)
    said(shop, 9, "HM-1", "HM-2", same=False)
    numbered(shop, "HM-2")
    pulled(shop, 10, 1)
    numbered(shop, "HM-1")
    pulled(shop, 11, 1)
    assert "HM-1" == identities(shop).was("w5", "HM-3")
    numbered(shop, "HM-2")
    pulled(shop, 12, 1)

    assert "HM-2" == identities(shop).was("w5", "HM-3")


def test_pulls_are_the_same_from_what_was_kept(shop: Book) -> None:
    """Three hundred lines of one pull, then twenty more that only the log has."""
    for _ in range(300):
        pulled(shop, 8, 1)
    settled(shop, anew=True)
    assert shop.path(KEPT).exists()
    for _ in range(20):
        pulled(shop, 9, 1)

    assert {"w5": 320} == again(shop)
    shop.path(KEPT).unlink()
    assert {"w5": 320} == again(shop)


def test_what_was_told_before_stays_as_it_was(shop: Book) -> None:
    """Whoever holds it meanwhile sees no later pull in it."""
    pulled(shop, 8, 1)
    before = own_log(shop)
    pulled(shop, 9, 5)

    assert {"w5": {DAY: 6}} == counts(shop)
    assert [{DAY: 1}] == [each.days for each in before.use.pulls]


def test_pulls_that_were_changed_in_place_count_as_the_log_has_them_now(shop: Book) -> None:
    """By hand, and the file as long as before: what was kept of it counts no more."""
    for _ in range(300):
        pulled(shop, 8, 1)
    settled(shop, anew=True)
    log = shop.path("book.jsonl")
    log.write_bytes(log.read_bytes().replace(b'"count":1', b'"count":9', 1))

    assert {"w5": 308} == again(shop)


def test_pulls_of_a_closed_run_count_once(tmp_path: Path) -> None:
    """The log tells of them from its end on, long before it is sealed; until then its daybook does."""
    at = shop_of_covers(tmp_path / "book", keys=False)
    walked(at)
    assert {"w5": {DAY: 2}} == counts(at.book)
    sealed(at)
    assert {"w5": {DAY: 4}} == counts(at.book)


def test_a_line_about_pulls_that_cannot_be_read_is_told(shop: Book) -> None:
    """Whoever asks for pulls is told, and the bench still knows what is settled."""
    with shop.log() as log:
        log.append({"event": "tool_cycles_added", "tool": "w5", "count": "many", "on": DAY})

    with pytest.raises(LedgerFault, match="has a line that cannot be read"):
        counts(shop)
    assert settled(shop).whole
