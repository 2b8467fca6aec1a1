"""Answers that nobody saved: found again, one copy a book, and never in place of those of somebody else."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import msgspec
import pytest

from clampbook.book.book import Book
from clampbook.book.drafting import copies
from clampbook.book.drafting.kept_answers import KeptAnswers
from clampbook.procedure.guided.answers import Answers
from clampbook.procedure.guided.talk import Talk

COVER = Talk(Answers(title="Cover", fasteners="Bolts", count="8"), 3, 3)


@pytest.fixture
def book(tmp_path: Path) -> Book:
    """A book with nothing in it."""
    return Book.create(tmp_path / "book", "Harbour museum")


def test_answers_are_found_as_they_were(book: Book) -> None:
    """By the next start in this book."""
    KeptAnswers(book).keep(COVER)

    found = KeptAnswers(book).found()
    assert found is not None
    assert COVER == found.talk


def test_another_book_has_answers_of_its_own(book: Book, tmp_path: Path) -> None:
    """Nothing of one is offered in the other."""
    KeptAnswers(book).keep(COVER)

    assert KeptAnswers(Book.create(tmp_path / "other", "Boat house")).found() is None


def test_nothing_of_it_is_in_the_book(book: Book) -> None:
    """Nobody can walk by it, or copy it with the book."""
    before = sorted(book.root.rglob("*"))
    KeptAnswers(book).keep(COVER)

    assert before == sorted(book.root.rglob("*"))


def test_two_starts_at_once_do_not_take_each_other_s_place(book: Book) -> None:
    """The second is told that it has no copy, and takes nothing away when it ends."""
    one, other = KeptAnswers(book), KeptAnswers(book)
    one.keep(COVER)

    told = other.keep(Talk(Answers(title="Flange"), 1, 1))
    other.forget()

    assert told.startswith("Another new procedure is being answered in this book")
    found = KeptAnswers(book).found()
    assert found is not None
    assert COVER == found.talk


def test_after_saving_there_is_nothing_to_offer(book: Book) -> None:
    """Also where it was found and gone on with."""
    KeptAnswers(book).keep(COVER)
    again = KeptAnswers(book)
    again.found()

    again.forget()

    assert KeptAnswers(book).found() is None


@pytest.mark.parametrize("text", ["{}", "no answers", '{"answers":{"count":"eight"},"asked":3}'])
def test_a_copy_that_holds_no_answers_is_not_offered(book: Book, tmp_path: Path, text: str) -> None:
    """And the next answers take its place, for it is nobody's."""
    KeptAnswers(book).keep(COVER)
    (copy,) = (tmp_path / "state").rglob("new-procedure-*.json")
    copies.keep(book.root / "new procedure", text, None, datetime.now(UTC))
    assert text in msgspec.json.decode(copy.read_bytes())["text"]
    start = KeptAnswers(book)

    assert start.found() is None
    assert "" == start.keep(COVER)
