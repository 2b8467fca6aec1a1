"""The procedure that a word on the command line means: one of the book by its name, or a file, which needs no book."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from clampbook.commands.options import named_before, open_book

if TYPE_CHECKING:
    from clampbook.book.book import Book
    from clampbook.book.starting.terms import Work


def work_meant(typed: str, folder: Path | None) -> Work:
    """The procedure that is meant, held to the log of the book where one is asked. Raises Faulty, LedgerFault."""
    from clampbook.book.starting.terms import Work, work_named

    book = _asked(typed, folder)
    if book is not None:
        return work_named(book, typed)
    from clampbook.procedure.reader import read_file
    from clampbook.slug import slug

    path = Path(typed)
    procedure, data = read_file(path)
    return Work(procedure, data, slug(path.stem, "run"))


def file_meant(typed: str, folder: Path | None) -> Path:
    """The file of the procedure that is meant, read by nobody yet. Raises LedgerFault."""
    from clampbook.book.starting.terms import path_begun

    book = _asked(typed, folder)
    return Path(typed) if book is None else path_begun(book, typed)


def _asked(typed: str, folder: Path | None) -> Book | None:
    """Give the book in which a name is looked for: the one that was said, or the person's own for what is no file."""
    from clampbook.book.book import BOOK, default_folder

    said = folder or named_before()
    if said is not None:
        return open_book(said)
    path = Path(typed)
    is_a_file = path.suffix == ".toml" or path.is_file()
    return None if is_a_file or not (default_folder() / BOOK).exists() else open_book(None)
