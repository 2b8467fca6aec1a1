"""The runs and checks that are settled: the logs of the book tell of their end, and nobody who waits opens them again.

Settled is what a whole chain of lines says, never a time stamp: a run that is sealed or abandoned, a check that is
sealed. Whatever the logs do not end is opened, and a log that is not whole settles nothing. What was read of a log is
kept beside it under the hash of the bytes that it was read from; any other bytes are read anew. Whoever verifies, or
asks what a bad tool touched, looks at everything and asks nothing here.
"""

from __future__ import annotations

import contextlib
from collections.abc import Iterator, Mapping
from hashlib import sha256
from pathlib import Path
from typing import TYPE_CHECKING

import msgspec
from msgspec import Struct

from clampbook import run_folder
from clampbook.book.book import CHECKS, LOG, RUNS, Book
from clampbook.ledger import atomic, lines
from clampbook.ledger.inside import read_file
from clampbook.ledger.ledger import read_bytes
from clampbook.ledger.refusals import LedgerFault
from clampbook.run_folder import RunFolder

if TYPE_CHECKING:
    from clampbook.check.folder import CheckFolder

KEPT = "settled.json"
_FORMAT = 1
_AGAIN = 200  # lines that are read anew each time, before what they say is kept
_MOST = 100_000_000  # bytes of what is kept
OPENED, SEALED, ABANDONED, DAMAGED, CHECKED = "o", "s", "a", "d", "c"
_OF_RUNS = {"run_opened": OPENED, "run_sealed": SEALED, "run_abandoned": ABANDONED, "run_damaged": DAMAGED}
_OF_CHECKS = {"check_opened": OPENED, "tool_checked": CHECKED, "check_sealed": SEALED}


class _Line(Struct, frozen=True):
    """As much of a line of a log as this asks for."""

    seq: int
    prev: str
    event: object = None
    run: object = None
    check: object = None


class Told(Struct, frozen=True):
    """Gives what a log says up to a line: its size there, the SHA-256 of all bytes until then, how many lines, where
    the last of them begins and its hash, and of each run and check what is told of it, a letter for each kind of line.
    """

    size: int = 0
    sha256: str = sha256(b"").hexdigest()
    count: int = 0
    last: int = 0
    head: str = lines.NOTHING_BEFORE
    runs: dict[str, str] = {}
    checks: dict[str, str] = {}


class Settled(Struct, frozen=True):
    """Gives what the logs of a book tell of its runs and checks. `over` are the runs that are sealed or abandoned,
    `going_on` the others that were opened. `whole`: its own log could be read, and no line of it is out of place; it
    has `count` lines, the last with the hash `head`, and `torn` bytes after it."""

    runs: Mapping[str, str] = {}
    checks: Mapping[str, str] = {}
    over: frozenset[str] = frozenset()
    going_on: tuple[str, ...] = ()
    whole: bool = True
    torn: int = 0
    count: int = 0
    head: str = lines.NOTHING_BEFORE

    @property
    def sealed(self) -> dict[str, bool]:
        """The runs that are over, and whether they are sealed."""
        return {run: SEALED in self.runs[run] for run in self.over}

    def is_checked(self, check: str) -> bool:
        """True where a check was sealed, and this book's log knows what it found."""
        told = self.checks.get(check, "")
        return OPENED in told and CHECKED in told and SEALED in told


class _Kept(Struct, frozen=True):
    settled: int
    logs: dict[str, Told]


_read_line = msgspec.json.Decoder(_Line).decode
_read_kept = msgspec.json.Decoder(_Kept).decode
_seen: dict[Path, tuple[dict[str, Told], Settled]] = {}  # what this program read of each book; then it reads the end


def settled(book: Book, *, anew: bool = False) -> Settled:
    """Read what is settled in a book; nothing is where its log cannot be read, which whoever reads that tells.

    `anew`: every byte of the logs is looked at, also those that this program has read before.
    """
    seen, last = ({}, Settled()) if anew else _seen.get(book.root, ({}, Settled()))
    before = seen or _kept(book)
    found: dict[str, Told] = {}
    torn = added = 0
    for name, path in _logs(book):
        with contextlib.suppress(LedgerFault):
            told, more, rest = _read(path, before.get(name, Told()), read_before=bool(seen))
            found |= {} if told is None else {name: told}
            torn = rest if name == LOG else torn
            added += more
    if added >= _AGAIN and not seen:
        _keep(book, found)
    if seen and found.keys() == seen.keys() and all(found[name] is seen[name] for name in seen) and torn == last.torn:
        return last
    known = _together(found, torn)
    _seen[book.root] = found, known
    return known


def unsettled_runs(book: Book, known: Settled | None = None) -> tuple[RunFolder, ...]:
    """The runs in the book's folder that its logs do not end, by day and name. Raises LedgerFault."""
    over, folder = (known or settled(book)).over, book.path(RUNS)
    return tuple(RunFolder(folder / name) for name in run_folder.names(folder, but=over))


def unsettled_checks(book: Book, known: Settled | None = None) -> tuple[CheckFolder, ...]:
    """The checks in the book's folder that are not sealed, or of which its log does not say what they found, by day
    and name. Raises LedgerFault."""
    from clampbook.check.folder import CheckFolder

    known = known or settled(book)
    folder = book.path(CHECKS)
    return tuple(CheckFolder(folder / name) for name in run_folder.names(folder) if not known.is_checked(name))


def _logs(book: Book) -> Iterator[tuple[str, Path]]:
    with contextlib.suppress(LedgerFault):
        yield LOG, book.path(LOG)
        yield from ((path.name, path) for path in book.merged_logs())


def _together(found: Mapping[str, Told], torn: int) -> Settled:
    mine = found.get(LOG)
    if mine is None:
        return Settled(whole=False, torn=torn)
    runs: Mapping[str, str] = mine.runs
    checks: Mapping[str, str] = mine.checks
    for name, each in found.items():
        if name != LOG:
            runs, checks = _with(runs, each.runs), _with(checks, each.checks)
    ends = {told for told in set(runs.values()) if OPENED in told and (SEALED in told or ABANDONED in told)}
    over = frozenset(run for run, told in runs.items() if told in ends)
    going_on = sorted(run for run, told in runs.items() if told not in ends and OPENED in told)
    return Settled(runs, checks, over, tuple(going_on), torn=torn, count=mine.count, head=mine.head)


def _with(mine: Mapping[str, str], others: Mapping[str, str]) -> Mapping[str, str]:
    """The same with what another book's log says. What this one opened itself nobody else ends; and what a check of
    theirs found counts here once the book's own log says so."""
    added = {
        name: mine.get(name, "") + told.replace(CHECKED, "")
        for name, told in others.items()
        if OPENED not in mine.get(name, "")
    }
    return {**mine, **added} if added else mine


def _read(path: Path, before: Told, *, read_before: bool) -> tuple[Told | None, int, int]:
    """Tell what a log says, how many lines were read for it, how many bytes are torn off at its end; None where its
    lines do not continue each other.

    Of one that this program has `read_before` only the end is read, from the last line that it knows; else `before`
    counts where it was read from the very bytes that the log begins with. Raises LedgerFault.
    """
    if read_before and before.size:
        data = read_bytes(path, before.last)
        known = before.size - before.last
        if lines.digest(data[: known - 1]) == before.head and data[known - 1 : known] == b"\n":
            return _grown(before, data[known:])
    data = read_bytes(path)
    if len(data) < before.size or sha256(data[: before.size]).hexdigest() != before.sha256:
        before = Told()
    return _grown(before, data[before.size :], data)


def _grown(before: Told, added: bytes, data: bytes | None = None) -> tuple[Told | None, int, int]:
    """The same with these bytes after it; `data` is all of the log, where it was read."""
    end = added.rfind(b"\n") + 1
    if not end:
        return before, 0, len(added)
    runs, checks, head, number, last = dict(before.runs), dict(before.checks), before.head, before.count, before.last
    at = before.size
    for whole in added[: end - 1].split(b"\n"):
        number += 1
        try:
            line = _read_line(whole)
        except lines.UNREADABLE:
            return None, 0, len(added) - end
        if line.seq != number or line.prev != head:
            return None, 0, len(added) - end
        head, last = lines.digest(whole), at
        at += len(whole) + 1
        _note(line, runs, checks)
    hashed = "" if data is None else sha256(data[:at]).hexdigest()
    return Told(at, hashed, number, last, head, runs, checks), number - before.count, len(added) - end


def _note(line: _Line, runs: dict[str, str], checks: dict[str, str]) -> None:
    event = line.event if isinstance(line.event, str) else ""
    if isinstance(line.run, str) and (letter := _OF_RUNS.get(event)):
        runs[line.run] = runs.get(line.run, "") + letter
    elif isinstance(line.check, str) and (letter := _OF_CHECKS.get(event)):
        checks[line.check] = checks.get(line.check, "") + letter


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
