"""Follow-ups that are crossed off: in the log, through a merge, and before whoever verifies the book."""

from __future__ import annotations

import shutil
from datetime import UTC, datetime
from pathlib import Path

import pytest

from clampbook.archive.follow_ups import FollowUp
from clampbook.book.book import Book
from clampbook.book.due.crossed import cross_off, crossed_off, due_again
from clampbook.book.merging.merging import merge
from clampbook.book.notices import notices
from clampbook.book.soundness.verifying import Verifying
from clampbook.ledger.refusals import LedgerFault
from clampbook.ledger.stamp import stamp_of
from clampbook.people import Person

GOLDEN = Path(__file__).resolve().parents[2] / "golden"
HEAD = "20260302-whinchat-pattern-c-head-uqatvlzp"
LOOK = FollowUp(run=HEAD, title="Look at the head after the first run", of="Cylinder head")
INES = Person("ines", "Ines")
STAMP = stamp_of(datetime(2026, 3, 20, 9, tzinfo=UTC), "ines")
STAMP_OF_MERGE = {"at": "2026-05-01T12:00:00.000Z", "offset": "+02:00"}


@pytest.fixture
def book(tmp_path: Path) -> Book:
    """The museum's own book, with a head that the log names."""
    book = Book.create(tmp_path / "ours", "Harbour museum")
    shutil.copytree(GOLDEN / "head", book.path("runs", HEAD))
    with book.log() as log:
        log.append({"event": "run_opened", "run": HEAD})
    return book


def test_what_is_crossed_off_stands_in_a_chained_line(book: Book) -> None:
    """The chain is whole, and nothing in the book says otherwise."""
    cross_off(book, LOOK, INES, "done on the slip", STAMP)

    assert () == Verifying(book).book()
    assert ["done on the slip"] == [each.reason for each in crossed_off(book).values()]


def test_a_run_that_is_nowhere_has_no_follow_up(book: Book) -> None:
    """Whoever verifies the book is told."""
    elsewhere = FollowUp(run="20260303-pump-aaaaaaaa", title="Look again", of="Pump")
    cross_off(book, elsewhere, INES, "done on the slip", STAMP)

    assert ["a follow-up of 20260303-pump-aaaaaaaa was crossed off, or made due again, and no such run is there"] == [
        each.text for each in Verifying(book).book()
    ]


def test_after_a_merge_it_is_still_crossed_off(book: Book, tmp_path: Path) -> None:
    """The log of the other book comes with its runs."""
    cross_off(book, LOOK, INES, "done on the slip", STAMP)
    ours = Book.create(tmp_path / "all", "All of it")

    merge(ours, book, STAMP_OF_MERGE)

    assert [LOOK.named] == list(crossed_off(ours))
    assert (
        "Follow-up “Look at the head after the first run” crossed off by Ines on 20 March 2026: done on the slip.",
    ) == notices(ours, HEAD)
    assert () == Verifying(ours).book()


def test_what_was_said_last_holds_in_each_of_two_books(book: Book, tmp_path: Path) -> None:
    """Crossed off in ours, due again in theirs, which had ours merged into it: both say so, once ours has theirs."""
    cross_off(book, LOOK, INES, "done on the slip", STAMP)
    theirs = Book.create(tmp_path / "theirs", "Theirs")
    merge(theirs, book, STAMP_OF_MERGE)

    due_again(theirs, LOOK, INES, "another engine was meant", stamp_of(datetime(2026, 5, 2, 9, tzinfo=UTC), "ines"))
    merge(book, theirs, {"at": "2026-05-03T12:00:00.000Z", "offset": "+02:00"})

    assert [{}, {}] == [crossed_off(theirs), crossed_off(book)]


def test_in_one_book_its_lines_are_in_order_whatever_the_clock_showed(book: Book) -> None:
    """The clock was set back between the two."""
    cross_off(book, LOOK, INES, "done on the slip", STAMP)
    due_again(book, LOOK, INES, "another engine was meant", stamp_of(datetime(2026, 3, 19, tzinfo=UTC), "ines"))

    assert {} == crossed_off(book)


def test_nobody_crosses_off_what_is_crossed_off(book: Book) -> None:
    """The first line holds."""
    cross_off(book, LOOK, INES, "done on the slip", STAMP)

    with pytest.raises(LedgerFault, match="crossed off already, by Ines"):
        cross_off(book, LOOK, INES, "done twice", STAMP)


def test_a_log_that_cannot_be_read_takes_no_record_away(book: Book) -> None:
    """The notices that are files are told all the same."""
    book.path("book.jsonl").unlink()
    book.path("book.jsonl").mkdir()

    assert () == notices(book, HEAD)
