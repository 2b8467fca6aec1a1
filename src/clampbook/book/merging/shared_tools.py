"""The tools of two books that are one and the same, and those that only share an id."""

from __future__ import annotations

from collections.abc import Iterator

from clampbook.book.book import Book
from clampbook.book.told_apart import identities
from clampbook.faults import Faulty
from clampbook.tools.identity import Identities
from clampbook.tools.model import Tool


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
    ours_told, theirs_told = identities(book), identities(other)
    for id in ours.keys() & theirs.keys():
        mine, found = ours[id], theirs[id]
        here, there = _numbers(ours_told, book, mine), _numbers(theirs_told, other, found)
        yield id, mine == found or bool(here & there)


def _numbers(which: Identities, book: Book, tool: Tool) -> frozenset[str]:
    """Every serial number that a tool is known by in its book."""
    return which.identity(tool.id, tool.serial, frozenset(), book.id).serials
