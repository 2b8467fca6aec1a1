"""The logs of a book as they are read once: of each run and check how far it came, of tools their use, and all else as
it stands there.

What was read of a log is kept beside it under the hash of the bytes that it was read from; any other bytes are read
anew. A program that has read a log reads only its end from then on, from the last line that it knows.
"""

from __future__ import annotations

import contextlib
from collections.abc import Iterator, Mapping, Sequence
from hashlib import sha256
from pathlib import Path

import msgspec
from msgspec import Struct

from clampbook.book.book import LOG, Book
from clampbook.book.use_told import Adding, UseTold, splits
from clampbook.ledger import atomic, lines
from clampbook.ledger.inside import read_file
from clampbook.ledger.ledger import End, read_bytes
from clampbook.ledger.refusals import LedgerFault

KEPT = "settled.json"
_FORMAT = 3
_AGAIN = 200  # lines that are read anew each time, before what they say is kept
_MOST = 100_000_000  # bytes of what is kept
OPENED, USED, SEALED, ABANDONED, DAMAGED, CHECKED = "o", "u", "s", "a", "d", "c"
_OF_RUNS = {
    "run_opened": OPENED,
    "tools_used": USED,
    "run_sealed": SEALED,
    "run_abandoned": ABANDONED,
    "run_damaged": DAMAGED,
}
_OF_CHECKS = {"check_opened": OPENED, "tool_checked": CHECKED, "check_sealed": SEALED}
_COURSE = frozenset({"run_opened", "tools_used", "run_sealed"})  # of which each run has a line


def ends(told: str) -> bool:
    """True where what is told of a run ends it."""
    return SEALED in told or ABANDONED in told


class _Line(Struct, frozen=True):
    """As much of a line of a log as this asks for."""

    seq: int = 0
    prev: str = ""
    event: object = None
    run: object = None
    check: object = None


class Told(Struct, frozen=True):
    """Gives what a log says up to a line: its size there, the SHA-256 of all bytes until then ("" where only its end
    was read), how many lines, the last of them and its hash; of each run and check what is told of it, a letter for
    each kind of line; which runs it opens and does not end; the lines about anything but the course of a run; and the
    use of tools.
    """

    size: int = 0
    sha256: str = sha256(b"").hexdigest()
    count: int = 0
    last: bytes = b""
    head: str = lines.NOTHING_BEFORE
    runs: dict[str, str] = {}
    checks: dict[str, str] = {}
    going_on: tuple[str, ...] = ()
    others: bytes = b""
    use: UseTold = UseTold()

    @property
    def end(self) -> End:
        """The end of the log, from which it is gone on with."""
        return End(self.size, self.count, self.last)

    @property
    def other_lines(self) -> list[bytes]:
        """The lines about anything but the course of a run, in their order."""
        return lines.split(self.others)[0]


class Logs(Struct, frozen=True):
    """Gives what the logs of a book tell, each by the name of its file; one that is not whole is missing. `torn` counts
    the bytes after the last line of the book's own."""

    of: Mapping[str, Told] = {}
    torn: int = 0

    @property
    def own(self) -> Told | None:
        """The book's own log."""
        return self.of.get(LOG)


class _Kept(Struct, frozen=True):
    settled: int
    logs: dict[str, Told]


_read_line = msgspec.json.Decoder(_Line).decode
_read_kept = msgspec.json.Decoder(_Kept).decode
_seen: dict[Path, Logs] = {}  # what this program read of each book; then it reads the end


def logs(book: Book, *, anew: bool = False) -> Logs:
    """Read the logs of a book; the very same is given where nothing has changed. `anew`: every byte of them is looked
    at, also those that this program has read before."""
    seen = None if anew else _seen.get(book.root)
    before = seen.of if seen is not None else _kept(book)
    found: dict[str, Told] = {}
    torn = added = 0
    for name, path in _paths(book):
        with contextlib.suppress(LedgerFault):
            told, more, rest = _read(path, before.get(name, Told()), read_before=seen is not None)
            found |= {} if told is None else {name: told}
            torn = rest if name == LOG else torn
            added += more
    if seen is None and added >= _AGAIN:
        _keep(book, found)
    if seen is not None and torn == seen.torn and _are_same(found, seen.of):
        return seen
    _seen[book.root] = Logs(found, torn)
    return _seen[book.root]


def end_known(book: Book) -> End | None:
    """The end of the book's own log as far as this program has read it; None where it is not whole."""
    seen = _seen.get(book.root) or logs(book)
    return None if seen.own is None else seen.own.end


def as_it_stands(log: Sequence[bytes]) -> Told:
    """Give what the lines of a log that is not whole tell, whatever their chain; one that cannot be read tells
    nothing."""
    grown = _Growing(Told(), log)
    for whole in log:
        with contextlib.suppress(*lines.UNREADABLE):
            grown.take(_read_line(whole), whole)
    return grown.told("")


def _paths(book: Book) -> Iterator[tuple[str, Path]]:
    with contextlib.suppress(LedgerFault):
        yield LOG, book.path(LOG)
        yield from ((path.name, path) for path in book.merged_logs())


def _are_same(found: Mapping[str, Told], seen: Mapping[str, Told]) -> bool:
    return found.keys() == seen.keys() and all(found[name] is seen[name] for name in seen)


def _read(path: Path, before: Told, *, read_before: bool) -> tuple[Told | None, int, int]:
    """Tell what a log says, how many lines were read for it, and how many bytes are torn off at its end; None where its
    lines do not continue each other.

    Of one that this program has `read_before` only the end is read, from the last line that it knows; else `before`
    counts where it was read from the very bytes that the log begins with. Raises LedgerFault.
    """
    if read_before and before.size:
        data = read_bytes(path, before.end.last_begins)
        if (added := before.end.added(data)) is not None and not splits(before.use, lines.split(added)[0]):
            return _grown(before, added)
    data = read_bytes(path)
    if len(data) < before.size or sha256(data[: before.size]).hexdigest() != before.sha256:
        before = Told()
    if splits(before.use, lines.split(data[before.size :])[0]):
        before = Told()
    return _grown(before, data[before.size :], data)


def _grown(before: Told, added: bytes, data: bytes | None = None) -> tuple[Told | None, int, int]:
    """The same with these bytes after it; `data` is all of the log, where it was read."""
    whole_ones, torn = lines.split(added)
    if not whole_ones:
        return before, 0, len(torn)
    grown = _Growing(before, whole_ones)
    for whole in whole_ones:
        try:
            line = _read_line(whole)
        except lines.UNREADABLE:
            return None, 0, len(torn)
        if not grown.continued_by(line):
            return None, 0, len(torn)
        grown.take(line, whole)
    hashed = "" if data is None else sha256(data[: len(data) - len(torn)]).hexdigest()
    return grown.told(hashed), len(whole_ones), len(torn)


class _Growing:
    """The same as was told, and line by line what comes after it."""

    def __init__(self, before: Told, added: Sequence[bytes]) -> None:
        self._before = before
        self._runs, self._checks = dict(before.runs), dict(before.checks)
        self._going_on = dict.fromkeys(before.going_on)
        self._others: list[bytes] = []
        self._use = Adding(before.use, added)
        self._size, self._number, self._last, self._head = before.size, before.count, before.last, before.head

    def continued_by(self, line: _Line) -> bool:
        """True where this line is in its place."""
        return line.seq == self._number + 1 and line.prev == self._head

    def take(self, line: _Line, whole: bytes) -> None:
        """Take the next line in."""
        self._number, self._last, self._head = self._number + 1, whole, lines.digest(whole)
        self._size += len(whole) + 1
        event = line.event if isinstance(line.event, str) else ""
        if isinstance(line.run, str) and (letter := _OF_RUNS.get(event)):
            told = self._runs[line.run] = self._runs.get(line.run, "") + letter
            self._going_on[line.run] = None
            if ends(told) or OPENED not in told:
                del self._going_on[line.run]
        elif isinstance(line.check, str) and (letter := _OF_CHECKS.get(event)):
            self._checks[line.check] = self._checks.get(line.check, "") + letter
        if event not in _COURSE:
            self._others.append(whole + b"\n")
        self._use.note(whole, event)

    def told(self, hashed: str) -> Told:
        """Give what is told now."""
        others = self._before.others + b"".join(self._others) if self._others else self._before.others
        now = self._size, hashed, self._number, self._last, self._head
        return Told(*now, self._runs, self._checks, tuple(self._going_on), others, self._use.told())


def _kept(book: Book) -> dict[str, Told]:
    """Read what was kept, where it is as it was written; nothing otherwise, and then the logs are read from their
    start."""
    try:
        data = read_file(book.path(KEPT), _MOST)
        digest, _, rest = data.partition(b"\n")
        if sha256(rest).hexdigest().encode() != digest:
            return {}
        kept = _read_kept(rest)
    except (LedgerFault, *lines.UNREADABLE):
        return {}
    return kept.logs if kept.settled == _FORMAT else {}


def _keep(book: Book, found: Mapping[str, Told]) -> None:
    """Keep it for the next time; where nothing can be written the logs are read again."""
    data = msgspec.json.encode(_Kept(_FORMAT, dict(found)))
    with contextlib.suppress(LedgerFault):
        atomic.write(book.path(KEPT), sha256(data).hexdigest().encode() + b"\n" + data)
