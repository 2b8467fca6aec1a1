"""A book with finished runs in it, put there as they were walked long ago."""

from __future__ import annotations

import shutil
from pathlib import Path

from clampbook.archive.finding import Hit, Query, find
from clampbook.archive.index import Archive
from clampbook.book.book import Book

GOLDEN = Path(__file__).resolve().parent.parent / "golden"
HEAD = "20260302-whinchat-pattern-c-head-uqatvlzp"
CRANK = "20260304-whinchat-crank-caps-aaaaaaaa"
FLANGE = "20260303-shaft-flange-16-aaaaaaaa"
GIVEN_UP = "20260305-whinchat-coupling-flange-aaaaaaaa"
NAMES = {HEAD: "head", FLANGE: "flange", CRANK: "crank", GIVEN_UP: "given-up"}


def made(root: Path) -> Book:
    """A book with four runs: a head that was accepted, a flange and bearing caps that are done, one given up."""
    book = Book.create(root, "Harbour museum")
    for run, golden in NAMES.items():
        shutil.copytree(GOLDEN / golden, book.path("runs", run))
    return book


def a_record(book: Book, run: str, text: str) -> Path:
    """A run of which there is nothing but a record with this text."""
    folder = book.path("runs", run)
    folder.mkdir()
    path = folder / "record.toml"
    path.write_bytes(text.encode())
    return path


def found(book: Book, query: Query) -> list[str]:
    """The runs that a program finds that opens the book anew."""
    return [hit.run for hit in hits(book, query)]


def hits(book: Book, query: Query) -> tuple[Hit, ...]:
    """The same with what is known of them."""
    with Archive(book.root) as archive:
        archive.refresh()
        return archive.asked(lambda connection: find(connection, query)).runs
