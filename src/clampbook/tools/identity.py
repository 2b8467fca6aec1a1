"""Which tool it is: an id means one within a book only, and a serial number tells two of one id apart."""

from __future__ import annotations

from msgspec import Struct


class Identity(Struct, frozen=True):
    """A tool by its id, the books in which that means this tool, and its serial number, None where it has none."""

    id: str
    books: frozenset[str]
    serial: str | None = None

    def is_same(self, book: str, serial: str | None = None) -> bool:
        """Whether a tool of this id in another place is this one: by its serial number; where one of them has none, by
        the book that it is of."""
        if self.serial is not None and serial is not None:
            return self.serial.casefold() == serial.casefold()
        return book in self.books
