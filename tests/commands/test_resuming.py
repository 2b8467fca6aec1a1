"""The command that resumes something is said so that it can be copied, whichever book it was."""

from __future__ import annotations

from pathlib import Path

import pytest

from check.book_of_tools import made, said
from clampbook.book import book as books
from clampbook.book.book import Book
from clampbook.book.checks import checks
from clampbook.commands.options import in_this_book
from museum import museum


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
