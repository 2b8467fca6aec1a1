"""The released procedures of a book, as the log holds them to their releases."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from clampbook.book.approvals import held_to_the_log
from clampbook.book.book import PROCEDURES, Book
from clampbook.faults import Faulty
from clampbook.ledger.refusals import LedgerFault
from clampbook.procedure.model import Procedure

_MARK = b'"released"'


def held(book: Book, path: Path) -> Procedure | None:
    """A procedure as the log holds it to its release; None where its file has errors. Raises LedgerFault."""
    from clampbook.procedure.reader import read_file

    try:
        return held_to_the_log(book, read_file(path)[0])
    except Faulty:
        return None


def released(book: Book, paths: Iterable[Path]) -> dict[Path, Procedure | None]:
    """Those of these files that speak of a release, which is read off their bytes before any is understood; None for
    one with errors."""
    found: dict[Path, Procedure | None] = {}
    for path in paths:
        try:
            if _MARK not in book.path(PROCEDURES, path.name).read_bytes():
                continue
            found[path] = held(book, path)
        except (LedgerFault, OSError):
            continue  # whatever opens the file, or the log, tells it
    return found
