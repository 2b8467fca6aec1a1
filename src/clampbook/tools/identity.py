"""The identity of a tool: its book, its id and its serial number.

An id means one tool until another serial number stands in its entry. Then a person says whether that is another tool,
which begins anew under the same id, or the same one whose number was mistyped. A use that tells no serial number is of
the tool that had the id at that moment.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from msgspec import Struct


def folded(serial: str) -> str:
    """A serial number as it is compared: letter case and blanks mean nothing."""
    return "".join(serial.split()).casefold()


def numbered(serial: str | None) -> dict[str, str]:
    """The field by which a line of a log tells a serial number; none where the tool has none."""
    return {} if serial is None else {"serial": serial}


class Answer(Struct, frozen=True):
    """Answer of a person about a changed serial number: the id, both numbers, and when (UTC)."""

    tool: str
    was: str
    serial: str
    same: bool
    at: str


class Identity(Struct, frozen=True):
    """One tool: its id, the books in which that means this tool, and the serial numbers that it is known by (folded).

    `others` are those of other tools that have, or had, the id in book `own`; there it meant this tool during `spans`,
    each since a moment (UTC) and until one, None where nothing followed.
    """

    id: str
    books: frozenset[str]
    serials: frozenset[str] = frozenset()
    own: str | None = None
    others: frozenset[str] = frozenset()
    spans: tuple[tuple[str, str | None], ...] = (("", None),)

    def is_same(self, book: str, serial: str | None = None, at: str | None = None) -> bool:
        """True where this id in a book means this tool: by its serial number; where one of them has none,
        or nobody was asked about it, by the book, and in its own one by the moment (UTC; None is now)."""
        told = None if serial is None else folded(serial)
        if told is not None and (told in self.serials or told in self.others):
            return told in self.serials
        if book == self.own:
            return any(_within(span, at) for span in self.spans)
        return book in self.books and (told is None or not self.serials)


def _within(span: tuple[str, str | None], at: str | None) -> bool:
    since, until = span
    return until is None if at is None else since <= at and (until is None or at < until)


class OneId:
    """The tools that had one id in one book, in the order in which they got it."""

    def __init__(self, id: str, answers: Sequence[Answer]) -> None:
        self._id = id
        self._tools: list[dict[str, str]] = [{}]  # of each its serial numbers, folded and as written
        self._since: list[tuple[str, int]] = [("", 0)]
        for answer in answers:
            before = self._place(answer.was)
            before = self._since[-1][1] if before is None else before
            self._tools[before].setdefault(folded(answer.was), answer.was)
            now = before if answer.same else self._place(answer.serial)
            if now is None:
                now = len(self._tools)
                self._tools.append({})
            if not any(folded(answer.serial) in serials for serials in self._tools):
                self._tools[now][folded(answer.serial)] = answer.serial
            self._since.append((answer.at, now))

    def _place(self, serial: str | None) -> int | None:
        told = None if serial is None else folded(serial)
        return next((place for place, serials in enumerate(self._tools) if told in serials), None)

    def place(self, serial: str | None, at: str | None) -> int:
        """Find which of them a use was of, by what it tells."""
        found = self._place(serial)
        if found is not None:
            return found
        return next(now for since, now in reversed(self._since) if at is None or since <= at or not since)

    def key(self, place: int) -> str:
        """Give what tells it from all other tools of the book: the id, and for later ones a serial number
        behind it. No id has a blank in it.
        """
        return self._id if place == 0 else f"{self._id} {next(iter(self._tools[place]))}"

    def identity(self, place: int, books: frozenset[str], own: str, serial: str | None) -> Identity:
        """The tool; `serial` is the number in its entry, which nobody may have asked about yet."""
        known = {*self._tools[place], *(() if serial is None else (folded(serial),))}
        others = {number for n, serials in enumerate(self._tools) if n != place for number in serials} - known
        ends: list[str | None] = [since for since, _ in self._since[1:]]
        turns = zip(self._since, [*ends, None], strict=True)
        spans = tuple((since, until) for (since, now), until in turns if now == place)
        return Identity(self._id, books, frozenset(known), own, frozenset(others), spans)

    @property
    def named(self) -> frozenset[str]:
        """All serial numbers, folded, that a person was asked about."""
        return frozenset(number for serials in self._tools for number in serials)


class Identities:
    """The tools of one book: `answers` in the order in which they were given, and `mentions` of tools by id and serial
    number in theirs."""

    def __init__(self, answers: Iterable[Answer] = (), mentions: Iterable[tuple[str, str]] = ()) -> None:
        by_id: dict[str, list[Answer]] = {}
        for answer in answers:
            by_id.setdefault(answer.tool, []).append(answer)
        self._of = {id: OneId(id, said) for id, said in by_id.items()}
        self._last: dict[str, str] = {}
        for id, serial in mentions:
            if id not in self._last or self.is_known(id, serial):
                self._last[id] = serial

    def is_known(self, id: str, serial: str) -> bool:
        """True where a person was asked about this serial number of an id."""
        of = self._of.get(id)
        return of is not None and folded(serial) in of.named

    def key(self, id: str, serial: str | None = None, at: str | None = None) -> str:
        """Give what tells the tool of a use from all others of the book; `at` (UTC) is when it was used, None now."""
        of = self._of.get(id)
        return id if of is None else of.key(of.place(serial, at))

    def identity(self, id: str, serial: str | None, books: frozenset[str], own: str) -> Identity:
        """The tool of this id and serial number in book `own`; `books` are those in which the id means it."""
        of = self._of.get(id) or OneId(id, ())
        return of.identity(of.place(serial, None), books, own, serial)

    def others(self, key: str) -> tuple[str, frozenset[str]]:
        """The id of a tool by its key, and the serial numbers (folded) of other tools that have, or had, that id."""
        id, _, serial = key.partition(" ")
        of = self._of.get(id)
        if of is None:
            return id, frozenset()
        return id, of.identity(of.place(serial, None) if serial else 0, frozenset(), "", None).others

    def last(self, id: str) -> str | None:
        """The serial number that an id was known by last; None where none was ever told."""
        return self._last.get(id)

    def was(self, id: str, serial: str | None) -> str | None:
        """The serial number that an id was known by last, where another one stands in its entry now and nobody was
        asked about that yet; None where there is nothing to ask."""
        last = self._last.get(id)
        if serial is None or last is None or folded(serial) == folded(last) or self.is_known(id, serial):
            return None
        return last
