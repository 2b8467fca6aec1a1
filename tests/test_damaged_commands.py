"""Every command on a book of which one file was damaged, in its bytes or in kind; a small share of the long test.

CLAMPBOOK_DAMAGED_BOOKS sets how many (default 80); `python -m endurance.damaged_books` makes many thousands.
"""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from endurance.books import full_book
from endurance.damaged_books import damaged

ALL = int(os.environ.get("CLAMPBOOK_DAMAGED_BOOKS", "80"))
PARTS = 4


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A book with something in every corner."""
    return full_book(tmp_path_factory.mktemp("made") / "book").book.root


@pytest.mark.parametrize("part", range(PARTS))
def test_a_damaged_book_is_told_in_sentences(book: Path, part: int) -> None:
    """Never a traceback, never a sign that steers a terminal, never a status that is none."""
    found = damaged(book, range(part, ALL, PARTS))

    assert [] == found.failures
    assert found.tries > ALL // PARTS
