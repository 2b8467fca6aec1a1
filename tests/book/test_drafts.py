"""A new procedure of a book gets a file of its own, whatever is there already."""

from __future__ import annotations

from pathlib import Path

import pytest

from clampbook.book.book import Book
from clampbook.book.drafts import file_for, write_draft
from clampbook.ledger.refusals import LedgerFault


@pytest.fixture
def book(tmp_path: Path) -> Book:
    """A book with nothing in it."""
    return Book.create(tmp_path / "book", "Harbour museum")


@pytest.mark.parametrize(
    ("title", "name"),
    [
        ("Coupling flange", "coupling-flange.toml"),
        ("Zoë’s cover · port", "zoes-cover-port.toml"),
        ("../../people", "people.toml"),
        ("", "procedure.toml"),
        ("…", "procedure.toml"),
    ],
)
def test_a_file_is_named_by_the_title_in_plain_letters(book: Book, title: str, name: str) -> None:
    """And never leads out of the folder of the procedures."""
    assert book.root / "procedures" / name == file_for(book, title)


def test_nothing_that_is_there_is_overwritten(book: Book) -> None:
    """A second one of the same title gets a number, also where only capitals differ."""
    (book.root / "procedures" / "Cover.toml").write_text("mine", encoding="utf-8")

    paths = [write_draft(book, "Cover", text) for text in ("one", "two")]

    assert ["cover-2.toml", "cover-3.toml"] == [path.name for path in paths]
    assert ["one", "two"] == [path.read_text(encoding="utf-8") for path in paths]
    assert "mine" == (book.root / "procedures" / "Cover.toml").read_text(encoding="utf-8")


def test_where_it_cannot_be_written_that_is_told(book: Book) -> None:
    """The folder is gone: a sentence, and nothing half written."""
    (book.root / "procedures").rmdir()

    with pytest.raises(LedgerFault, match="procedures"):
        write_draft(book, "Cover", "text")
