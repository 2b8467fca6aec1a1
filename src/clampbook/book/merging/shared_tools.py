"""Which tools of two books are one and the same, and in which books an id means a tool of this one."""

from __future__ import annotations

from collections.abc import Iterator

from clampbook.book.book import Book
from clampbook.faults import Faulty
from clampbook.ledger.lines import decode
from clampbook.tools.identity import Identity

MERGED = "merged"
_MARK = f'"event":"{MERGED}"'.encode()


def shared_tools(book: Book, other: Book) -> frozenset[str]:
    """The ids of the tools that are one and the same in both books: of one serial number, or written alike."""
    return frozenset(id for id, same in _in_both(book, other) if same)


def others_of_that_id(book: Book, other: Book) -> frozenset[str]:
    """The ids by which the books call two different tools."""
    return frozenset(id for id, same in _in_both(book, other) if not same)


def _in_both(book: Book, other: Book) -> Iterator[tuple[str, bool]]:
    """Each id that both books have, and whether it means one tool; none where a file cannot be read, for then nobody
    can tell them apart."""
    try:
        ours, theirs = ({tool.id: tool for tool in each.tools()} for each in (book, other))
    except Faulty:
        return
    for id in ours.keys() & theirs.keys():
        mine, found = ours[id], theirs[id]
        yield id, mine == found or Identity(id, frozenset(), mine.serial).is_same(other.id, found.serial)


def books_of(book: Book, tool: str) -> frozenset[str]:
    """This book, and those merged into it of which the log says that this tool is the same there."""
    lines = (decode(line) for line in book.log_lines() if _MARK in line)
    same = (line for line in lines if tool in (line.get("tools") or ()))
    return frozenset({book.id, *(str(line.get("book_merged")) for line in same)})
