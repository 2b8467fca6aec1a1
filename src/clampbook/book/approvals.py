"""Releases and withdrawals as the log of the book tells of them; one that it does not tell of does not hold."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from msgspec.structs import replace

from clampbook.book.book import Book
from clampbook.book.settled import lines_of_logs
from clampbook.ledger import lines
from clampbook.procedure.model import Procedure
from clampbook.units import show_day

REVISIONS = ".revisions"
RELEASED, WITHDRAWN = "procedure_released", "procedure_withdrawn"
ACTS = {"release": RELEASED, "withdrawal": WITHDRAWN}


def held_to_the_log(book: Book, procedure: Procedure) -> Procedure:
    """The same; a draft where it calls itself released and no log of this book tells of that release.

    So a release that somebody made up, or brought from a book that was never merged, does not hold here.
    Raises LedgerFault where a log cannot be read.
    """
    release = procedure.release
    if procedure.status != "released" or release is None:
        return procedure
    for entry in _released(book):
        if (entry.get("says"), entry.get("key")) == (release.says, release.key):
            return procedure
    told = f"no log of this book has the release by {release.by} on {show_day(release.on)}"
    return replace(procedure, status="draft", lapsed=told)


def _released(book: Book) -> Iterator[dict[str, Any]]:
    """The releases that the logs of this book tell of, its own first, then those of merged books."""
    mark = f'"event":"{RELEASED}"'.encode()
    for whole in lines_of_logs(book):
        yield from (lines.decode(line) for line in whole if mark in line)
