"""The use of tools as the lines of a log tell it: pulls of what ended or was entered by hand, and serial numbers.

Pulls are added up day by day for each tool by its id and number, apart before and after each moment at which people
said that another tool stands under the id: so no line need be read again to tell later whose they were.
"""

from __future__ import annotations

from bisect import bisect_right, insort
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

import msgspec
from msgspec import Struct

from clampbook.check.standing import TOLD_APART, TOOL_CHECKED
from clampbook.ledger import lines
from clampbook.ledger.refusals import LedgerFault
from clampbook.tools.identity import Answer

TOOLS_USED, CYCLES_ADDED = "tools_used", "tool_cycles_added"
_TELLS_USE = frozenset({TOOLS_USED, CYCLES_ADDED, "run_abandoned", TOOL_CHECKED})
_APART = lines.telling(TOLD_APART)
_NUMBERED = b'"serial'


class _OfOne(Struct):
    """The pulls of one tool in a run."""

    tool: str
    pulls: dict[str, int]
    serial: str | None = None


class _Used(Struct):
    """A line about the use of tools: of a run or a check that ended, or added by hand."""

    event: str
    pulls: dict[str, dict[str, int]] = {}
    used: list[_OfOne] = []
    tool: str = ""
    serial: str | None = None
    at: str | None = None
    on: str = ""
    count: int = 0


class PullsThen(Struct, frozen=True, array_like=True):
    """The pulls of a tool by day, of lines from one moment (UTC; None: they tell none) to another."""

    tool: str
    serial: str | None
    first: str | None
    last: str | None
    days: dict[str, int]


class UseTold(Struct, frozen=True):
    """Gives what lines tell of use. `numbers` are those that an id was mentioned with: the first one, then each in the
    order of its latest mention. `apart`: when people said something of the number of an id, in order. `odd`: a line
    about use says something of the wrong kind."""

    pulls: tuple[PullsThen, ...] = ()
    numbers: dict[str, tuple[str, ...]] = {}
    apart: dict[str, list[str]] = {}
    odd: bool = False

    @property
    def mentions(self) -> Iterator[tuple[str, str]]:
        """Each id with a serial number of it, as far as their order says which was known last."""
        return ((id, serial) for id, known in self.numbers.items() for serial in known)


_read_used = msgspec.json.Decoder(_Used).decode


class Adding:
    """Adds lines to what was told before. Its pulls must not be split by what the lines say: see `splits`."""

    def __init__(self, before: UseTold, added: Sequence[bytes]) -> None:
        self._apart = _moments(before.apart, added)
        self._numbers = dict(before.numbers)
        self._rows = {self._place(row.tool, row.serial, row.first): row for row in before.pulls}
        self._new: set[tuple[str, str | None, int]] = set()  # rows whose days are nobody else's
        self._odd = before.odd

    def note(self, line: bytes, event: str) -> None:
        """Take one line in, in the order of the log."""
        if event in _TELLS_USE:
            try:
                self._use(_read_used(line))
            except lines.UNREADABLE:
                self._odd = True
        if _NUMBERED in line:
            self._mention(line)

    def told(self) -> UseTold:
        """Give what is told with all these lines."""
        return UseTold(tuple(self._rows.values()), self._numbers, self._apart, self._odd)

    def _use(self, line: _Used) -> None:
        if line.event == CYCLES_ADDED:
            self._add(line.tool, line.serial, line.at, {line.on: line.count})
            return
        for id, days in line.pulls.items():
            self._add(id, line.serial, line.at, days)
        for one in line.used:
            self._add(one.tool, one.serial, line.at, one.pulls)

    def _add(self, tool: str, serial: str | None, at: str | None, days: Mapping[str, int]) -> None:
        place = self._place(tool, serial, at)
        row = self._rows.get(place) or PullsThen(tool, serial, at, at, {})
        total = row.days if place in self._new else dict(row.days)
        for day, count in days.items():
            total[day] = total.get(day, 0) + count
        self._new.add(place)
        if at is None or row.first is None or row.last is None:
            self._rows[place] = PullsThen(tool, serial, at, at, total)
        else:
            self._rows[place] = PullsThen(tool, serial, min(row.first, at), max(row.last, at), total)

    def _place(self, tool: str, serial: str | None, at: str | None) -> tuple[str, str | None, int]:
        """Name the row of a use: all in one row lie between the same two moments."""
        moments = self._apart.get(tool)
        return tool, serial, -1 if at is None else bisect_right(moments, at) if moments else 0

    def _mention(self, line: bytes) -> None:
        said = fields(line)
        if (answer := answer_in(said)) is not None:
            self._named(answer.tool, answer.was)
        rows = said.get("used")
        for row in (said, *(rows if isinstance(rows, list) else ())):
            match row:
                case {"tool": str(tool), "serial": str(serial)}:
                    self._named(tool, serial)

    def _named(self, tool: str, serial: str) -> None:
        known = self._numbers.get(tool) or (serial, serial)
        if known[-1] != serial:
            known = (known[0], *(each for each in known[1:] if each != serial), serial)
        self._numbers[tool] = known


def splits(before: UseTold, added: Sequence[bytes]) -> bool:
    """True where lines say of a moment that pulls which were added up lie on both sides of: then they must be read
    again one by one."""
    now = _moments(before.apart, added)
    return any(
        row.first is not None and row.last is not None and any(row.first < at <= row.last for at in now[row.tool])
        for row in before.pulls
        if row.tool in now and now[row.tool] != before.apart.get(row.tool)
    )


def answer_in(said: Mapping[str, Any]) -> Answer | None:
    """Read what a person says of a changed serial number in a line of these fields; None where it says nothing."""
    match said:
        case {
            "event": "tool_told_apart",
            "tool": str(tool),
            "serial_was": str(was),
            "serial": str(serial),
            "same": bool(same),
            "at": str(at),
        }:
            return Answer(tool, was, serial, same, at)
        case _:
            return None


def fields(line: bytes) -> Mapping[str, Any]:
    """The fields of a line; none of one that cannot be read, which is told elsewhere."""
    try:
        return lines.decode(line)
    except LedgerFault:
        return {}


def first_odd(log: Iterable[bytes]) -> str | None:
    """Say what is wrong with the first line about use that cannot be read; None where none is."""
    about = lines.telling(*_TELLS_USE)
    for line in log:
        if about.search(line):
            try:
                _read_used(line)
            except lines.UNREADABLE as error:
                return str(error)
    return None


def _moments(before: Mapping[str, list[str]], added: Sequence[bytes]) -> dict[str, list[str]]:
    found = {tool: list(moments) for tool, moments in before.items()}
    for line in added:
        if _APART.search(line) and (answer := answer_in(fields(line))) is not None:
            insort(found.setdefault(answer.tool, []), answer.at)
    return found
