"""The runs and checks that are settled: the logs of the book tell of their end, and nobody who waits opens them again.

Settled is what a whole chain of lines says, never a time stamp: a run that is sealed or abandoned, a check that is
sealed. Whatever the logs do not end is opened, and a log that is not whole settles nothing. Whoever verifies, or asks
what a bad tool was used on, looks at everything and asks nothing here.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

from clampbook import run_folder
from clampbook.book.book import CHECKS, LOG, RUNS, Book
from clampbook.book.log_told import CHECKED, OPENED, SEALED, USED, Logs, Told, as_it_stands, ends, logs
from clampbook.ledger import ledger
from clampbook.run_folder import RunFolder

if TYPE_CHECKING:
    from clampbook.check.folder import CheckFolder


@dataclass(frozen=True)
class Settled:
    """Gives what the logs of a book tell of its runs and checks. `going_on` are the runs that were opened and are
    neither sealed nor abandoned. `own` is what the book's own log tells; None where it could not be read, or
    a line of it is out of place. `torn` bytes come after its last line."""

    runs: Mapping[str, str] = field(default_factory=dict)
    checks: Mapping[str, str] = field(default_factory=dict)
    going_on: tuple[str, ...] = ()
    own: Told | None = None
    torn: int = 0

    @property
    def whole(self) -> bool:
        """True where the book's own log could be read, and no line of it is out of place."""
        return self.own is not None

    @cached_property
    def over(self) -> frozenset[str]:
        """The runs that are sealed or abandoned."""
        over = {told for told in set(self.runs.values()) if OPENED in told and ends(told)}
        return frozenset(run for run, told in self.runs.items() if told in over)

    @property
    def sealed(self) -> dict[str, bool]:
        """The runs that are over, and whether they are sealed."""
        return {run: SEALED in self.runs[run] for run in self.over}

    def is_checked(self, check: str) -> bool:
        """True where a check was sealed, and this book's log knows what it found."""
        told = self.checks.get(check, "")
        return OPENED in told and CHECKED in told and SEALED in told


_seen: dict[Path, tuple[Logs, Settled]] = {}


def settled(book: Book, *, anew: bool = False) -> Settled:
    """Read what is settled in a book; nothing is where its log cannot be read, which whoever reads that tells.

    `anew`: every byte of the logs is looked at, also those that this program has read before.
    """
    found, before = logs(book, anew=anew), _seen.get(book.root)
    if before is None or before[0] is not found:
        before = _seen[book.root] = found, _together(found)
    return before[1]


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


def own_log(book: Book) -> Told:
    """Read what the book's own log tells; of one that is not whole, what each line does. Raises LedgerFault where it
    cannot be read."""
    return logs(book).own or as_it_stands(book.log_lines())


def lines_of_logs(book: Book) -> list[list[bytes]]:
    """The lines about anything but the course of a run: those of the book's own log, then those of each merged one.
    Raises LedgerFault."""
    found = logs(book).of
    merged = (
        found[path.name].other_lines if path.name in found else ledger.read(path)[0] for path in book.merged_logs()
    )
    return [own_log(book).other_lines, *merged]


def open_in(told: Told) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """The runs and the checks that a log opens, and of whose use of tools it does not tell yet, in its order."""
    runs = tuple(run for run in told.going_on if USED not in told.runs[run])
    return runs, tuple(check for check, said in told.checks.items() if OPENED in said and CHECKED not in said)


def last_line(book: Book) -> bytes | None:
    """The last line of the book's log; None where it has none. Raises LedgerFault."""
    return own_log(book).last or None


def _together(found: Logs) -> Settled:
    mine = found.own
    if mine is None:
        return Settled(torn=found.torn)
    runs: Mapping[str, str] = mine.runs
    checks: Mapping[str, str] = mine.checks
    for name, each in found.of.items():
        if name != LOG:
            runs, checks = _with(runs, each.runs), _with(checks, each.checks)
    going_on: Iterable[str] = mine.going_on
    if runs is not mine.runs:
        going_on = (run for run, told in runs.items() if OPENED in told and not ends(told))
    return Settled(runs, checks, tuple(sorted(going_on)), mine, found.torn)


def _with(mine: Mapping[str, str], others: Mapping[str, str]) -> Mapping[str, str]:
    """The same with what another book's log says. What this one opened itself nobody else ends; and what a check of
    theirs found counts here once the book's own log says so."""
    added = {
        name: mine.get(name, "") + told.replace(CHECKED, "")
        for name, told in others.items()
        if OPENED not in mine.get(name, "")
    }
    return {**mine, **added} if added else mine
