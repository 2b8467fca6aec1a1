"""Changes to tools.toml from the screen: through the core that keeps what people wrote, and never over their heads."""

from __future__ import annotations

from typing import Any

from clampbook.book.book import Book
from clampbook.book.toolbox import put_signed_for, put_tools
from clampbook.faults import Faulty, briefly
from clampbook.ledger.refusals import LedgerFault
from clampbook.text import as_sentence
from clampbook.tools.editing import Changes, List, NotEdited, Value, added, changed


def change(
    book: Book, before: bytes, kind: List, id: str, changes: Changes, signed_for: dict[str, Any] | None = None
) -> str:
    """Change some keys of an entry of the file that was read as `before`; "" or a sentence why nothing was written.

    `signed_for` is the line of the log by which somebody answers for it with their name.
    """
    try:
        after = changed(before, kind, id, changes)
        if signed_for is None:
            put_tools(book, before, after)
        else:
            put_signed_for(book, before, after, signed_for)
    except (NotEdited, LedgerFault) as refused:
        return as_sentence(refused.sentence)
    except Faulty as faulty:
        return briefly(faulty)
    return ""


def add(book: Book, before: bytes, kind: List, entry: dict[str, Value]) -> str:
    """Add an entry at the end of the file that was read as `before`; "" or a sentence why nothing was written."""
    try:
        put_tools(book, before, added(before, kind, entry))
    except (NotEdited, LedgerFault) as refused:
        return as_sentence(refused.sentence)
    except Faulty as faulty:
        return briefly(faulty)
    return ""
