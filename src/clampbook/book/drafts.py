"""New procedures of a book: a draft in a file of its own, named by its title; no file is ever overwritten."""

from __future__ import annotations

from pathlib import Path

from clampbook.book.book import PROCEDURES, Book
from clampbook.ledger import atomic
from clampbook.slug import slug, unique


def file_for(book: Book, title: str) -> Path:
    """The file that a procedure of this title would get. Raises LedgerFault where the folder cannot be read."""
    return book.path(PROCEDURES, f"{unique(slug(title, 'procedure'), _names(book))}.toml")


def write_draft(book: Book, title: str, text: str) -> Path:
    """Write a new procedure, and give its file. Raises LedgerFault where it cannot be written."""
    with book.holding():  # nobody else takes the same name meanwhile
        path = file_for(book, title)
        atomic.write(path, text.encode())
    return path


def _names(book: Book) -> frozenset[str]:
    """The names that are taken, however somebody wrote their letters."""
    return frozenset(path.stem.casefold() for path in book.procedures())
