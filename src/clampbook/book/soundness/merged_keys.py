"""The keys of other books whose logs were merged into this one: whoever signed there is vouched for here too."""

from __future__ import annotations

from clampbook.book.book import Book
from clampbook.book.mending import LOGS
from clampbook.book.soundness.logged import read_log
from clampbook.book.soundness.logged_keys import keys_told
from clampbook.signing.held import HeldKey


def keys_of_merged(book: Book) -> tuple[HeldKey, ...]:
    """All keys that the logs of merged books tell of, by person there, in the order of the books' ids. Raises
    LedgerFault where a log cannot be read."""
    folder = book.path(LOGS)
    names = sorted(path.name for path in folder.glob("*.jsonl")) if folder.is_dir() else ()
    logs = (read_log(book.path(LOGS, name), f"{LOGS}/{name}") for name in names)
    return tuple(held for log in logs for held in keys_told(log))
