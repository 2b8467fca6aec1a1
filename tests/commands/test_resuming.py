"""The command that resumes something is said so that it can be copied, whichever book it was."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from archive.book_of_records import CRANK, GIVEN_UP, GOLDEN
from archive.book_of_records import made as of_records
from check.book_of_tools import made, said
from clampbook.book import book as books
from clampbook.book.book import Book
from clampbook.book.checks import checks
from clampbook.commands.options import in_this_book
from museum import museum

OPEN = "20260309-whinchat-pattern-c-head-bbbbbbbb"


def test_another_book_is_named(tmp_path: Path) -> None:
    """A folder with a blank is quoted, as a shell wants it."""
    book = museum(tmp_path / "the book")

    assert f" --book '{tmp_path / 'the book'}'" == in_this_book(book)


def test_the_own_book_is_not(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """It is found without."""
    book = museum(tmp_path / "book")
    monkeypatch.setattr(books, "default_folder", lambda: book.root)

    assert "" == in_this_book(Book.open(book.root))


def test_a_check_that_stays_open_says_how_it_goes_on(tmp_path: Path) -> None:
    """With the folder of its book."""
    book = made(tmp_path / "book")

    _, _, told = said("check", "W5", "--as", "Ines", book=book.root, typed="")

    assert checks(book)
    assert f"clampbook check w5 --book {book.root}" in " ".join(told.split())


class TestWhatIsMeant:
    """A run that is over is found and read, one that stands open is resumed: whoever mixes them up is told how."""

    @pytest.fixture
    def book(self, tmp_path: Path) -> Book:
        """Four runs that are over, one abandoned among them, and one of the head that stands open."""
        book = of_records(tmp_path / "book")
        open_one = Path(shutil.copytree(GOLDEN / "head", book.path("runs", OPEN)))
        daybook = open_one / "daybook.jsonl"
        daybook.write_bytes(b"".join(daybook.read_bytes().splitlines(keepends=True)[:20]))
        return book

    @pytest.mark.parametrize("words", ["walk --resume nowhere --plain", "record nowhere", "seal nowhere"])
    def test_a_run_that_there_is_not(self, book: Book, words: str) -> None:
        """It may stand open or be over: both lists are named."""
        told = said(*words.split(), book=book.root)[2]

        assert "List open runs with: clampbook runs. Search closed ones with: clampbook find" in told

    def test_what_is_not_found_may_stand_open(self, book: Book) -> None:
        """Who searches for a run that is not over is told where it is."""
        assert "List them with: clampbook runs" in said("find", "nowhere", book=book.root)[2]

    def test_a_run_that_is_over_is_read(self, book: Book) -> None:
        """Whoever wants to resume it is told how."""
        told = said("walk", "--resume", "crank", "--plain", book=book.root)[2]

        assert told.endswith(f"Run {CRANK} is closed. Read it with: clampbook record {CRANK}\n")

    def test_only_what_stands_open_is_resumed(self, book: Book) -> None:
        """Of two runs of the head one is over, so nobody need say which is meant."""
        status, _, told = said("walk", "--resume", "head", "--plain", "--as", "Ines", book=book.root)

        assert 2 != status, told
        assert 20 < len(book.run(OPEN).lines()[0])

    def test_one_that_is_whole_is_not_closed_as_damaged(self, book: Book) -> None:
        """What to do instead depends on whether it is over."""
        for run, instead in ((CRANK, f"clampbook record {CRANK}"), (OPEN, f"clampbook walk --resume {OPEN}")):
            assert instead in said("close-damaged", run, "--as", "Ines", book=book.root)[2]

    @pytest.mark.parametrize(
        ("run", "instead"),
        [
            (CRANK, f"Seal it first: clampbook seal {CRANK}"),
            (OPEN, f"Write a note in it: clampbook walk --resume {OPEN}"),
            (GIVEN_UP, "An abandoned run has no seal, so nothing can be added."),
        ],
    )
    def test_what_has_no_seal_takes_no_addendum(self, book: Book, run: str, instead: str) -> None:
        """A note stands in an open run, an addendum beside a sealed one."""
        told = said("addendum", run, "--as", "Ines", "--new-person", "--text", "Leaks", book=book.root)[2]

        assert told.endswith(f"is not sealed. {instead}\n")
