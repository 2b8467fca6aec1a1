"""Samples of the library put among the procedures of a book, each as the first draft of one; no file is overwritten."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from clampbook.book.book import PROCEDURES
from clampbook.ledger import atomic
from clampbook.procedure.library import as_a_start, sample

if TYPE_CHECKING:
    from clampbook.book.book import Book


@dataclass(frozen=True, slots=True)
class Started:
    """The drafts that were written, and the files that were there already and stay as they are."""

    written: tuple[Path, ...]
    there: tuple[Path, ...]


def start_from(book: Book, names: Sequence[str]) -> Started:
    """Write a draft for each of these samples. Raises TextFault where one is none, and then nothing is written, and
    LedgerFault where the book cannot be written.
    """
    drafts = {book.path(PROCEDURES, f"{sample(name).name}.toml"): as_a_start(name) for name in names}
    with book.holding():
        there = tuple(path for path in drafts if path.exists())
        written = tuple(path for path in drafts if path not in there)
        for path in written:
            atomic.write(path, drafts[path].encode())
    return Started(written, there)
