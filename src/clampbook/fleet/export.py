"""Books brought into the dataset: of each year of a book in which something is new, the files are written anew.

A file takes the place of the one before by its name alone, and what is known of a book is written last. So whoever is
stopped in the middle leaves files that are whole, and the next export writes that year again.
"""

from __future__ import annotations

import re
import shutil
from collections.abc import Callable, Iterable, Iterator
from hashlib import sha256
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from clampbook.archive.shelf import Lying
from clampbook.fleet import engine, known
from clampbook.fleet.columns import Table
from clampbook.fleet.known import STATE, Held, Known
from clampbook.fleet.rows import Lies, Row
from clampbook.fleet.sort import SORTS, Sort, read_record, record_bytes
from clampbook.fleet.year import empty_tables, place, write_year
from clampbook.ledger import lock
from clampbook.ledger.refusals import LedgerFault, refusal
from clampbook.work.frozen import RecordFault

if TYPE_CHECKING:
    from duckdb import DuckDBPyConnection

_PLAIN = re.compile(r"[A-Za-z0-9][A-Za-z0-9_-]{0,63}")  # an id that may name a folder
_AT_HOME = "is exported with the book in which it was opened"
_NO_NAME = "The id “{id}” of {root} cannot name a folder. Allowed: letters, digits, - and _"
_NEW = "new"  # in place of a SHA-256, until the record is read
_LOGS = "logs"  # of books that were merged into one


class Source(NamedTuple):
    """A book to be exported."""

    root: Path
    id: str
    name: str


class Exported(NamedTuple):
    """The number of runs and checks of a book that were new or changed, and what was left out, each with the reason."""

    runs: int
    checks: int
    left_out: tuple[str, ...]


def export(
    dataset: Path, books: Iterable[Source], told: Callable[[Source, Exported], None] = lambda *_: None
) -> list[Exported]:
    """Bring the books into the dataset; `told` is called after each. Raises LedgerFault."""
    ordered = _in_order(books)
    scratch = dataset / STATE / "scratch"
    running = engine.opened(scratch / "spill")
    done = []
    try:
        with running, lock.take(dataset / STATE, "export", wait=1.0):
            shutil.rmtree(scratch, ignore_errors=True)
            scratch.mkdir(parents=True)
            empty_tables(dataset, running, scratch)
            for book in ordered:
                done.append(_Exporter(dataset, book, running, scratch).export())
                told(book, done[-1])
            shutil.rmtree(scratch, ignore_errors=True)
    except OSError as error:
        raise refusal(dataset, error, "be written") from error
    return done


def _in_order(books: Iterable[Source]) -> list[Source]:
    """Those last that others were merged into: what was merged is left to its own book. Raises LedgerFault."""
    by_id: dict[str, Source] = {}
    for book in books:
        if _PLAIN.fullmatch(book.id) is None:
            raise LedgerFault(_NO_NAME.format(id=book.id, root=book.root))
        if book.id in by_id:
            raise LedgerFault(
                f"{by_id[book.id].root} and {book.root} have the same id {book.id}. Export one of them, "
                "or merge the copies first"
            )
        by_id[book.id] = book
    return sorted(by_id.values(), key=lambda book: ((book.root / _LOGS).is_dir(), book.root))


class _Exporter:
    """Brings one book into the dataset."""

    def __init__(self, dataset: Path, book: Source, running: DuckDBPyConnection, scratch: Path) -> None:
        self._dataset = dataset
        self._book = book
        self._running = running
        self._scratch = scratch
        self._merged = (book.root / _LOGS).is_dir()
        self._left_out: list[str] = []

    def export(self) -> Exported:
        """Write each year in which something is new, then what is known."""
        before = known.read(self._dataset, self._book.id)
        runs, checks = (self._of(sort, getattr(before, sort.folder)) for sort in SORTS)
        now = Known(self._book.id, runs=runs[0], checks=checks[0])
        if now != before:
            known.write(self._dataset, now)
        return Exported(runs[1], checks[1], tuple(self._left_out))

    def _of(self, sort: Sort, before: dict[str, dict[str, Held]]) -> tuple[dict[str, dict[str, Held]], int]:
        """Tell what is held by year from now on, and how many of it are new."""
        years: dict[str, list[Lying]] = {}
        for one in sort.lying(self._book.root):
            years.setdefault(one.run.id[:4], []).append(one)
        held: dict[str, dict[str, Held]] = {}
        new = 0
        for year in sorted(years.keys() | before.keys()):
            there, was = years.get(year, []), before.get(year, {})
            now = {one.run.id: self._looked_at(one, was.get(one.run.id)) for one in there}
            if _rows_of(now) != _rows_of(was) or (_rows_of(was) and not self._is_there(sort, year)):
                self._forget(sort, year)
                self._write(sort, year, there, now)
                new += len(_rows_of(now).items() - _rows_of(was).items())
            held |= {year: now} if now else {}
            self._left_out += [f"{name}: {each.left_out}" for name, each in now.items() if _is_told(each)]
        return held, new

    def _looked_at(self, one: Lying, was: Held | None) -> Held:
        """A run or check as it lies there; its record is read only where its files are not as they were."""
        if self._is_at_home(one):
            return Held(one.stamp, left_out=_AT_HOME)
        if was is not None and was.stamp == one.stamp and was.left_out != _AT_HOME:
            return was
        if was is None:
            return Held(one.stamp, _NEW)
        try:
            return Held(one.stamp, sha256(record_bytes(one)).hexdigest(), one.sealed)
        except (LedgerFault, RecordFault) as fault:
            return Held(one.stamp, left_out=fault.sentence)

    def _is_at_home(self, one: Lying) -> bool:
        """True where another book of the dataset holds it, because it was merged from there."""
        if not self._merged:
            return False
        home = (one.run.first() or {}).get("book")
        if home == self._book.id or not isinstance(home, str) or _PLAIN.fullmatch(home) is None:
            return False
        there = known.read(self._dataset, home)
        return any(one.run.id in year for kind in (there.runs, there.checks) for year in kind.values())

    def _is_there(self, sort: Sort, year: str) -> bool:
        return (self._dataset / place(sort.tables[-1], self._book.id, year)).exists()

    def _forget(self, sort: Sort, year: str) -> None:
        """Say no longer that this year is there, before its files change: whoever is killed then finds nothing said."""
        before = known.read(self._dataset, self._book.id)
        years = getattr(before, sort.folder)
        if years.pop(year, None) is not None:
            known.write(self._dataset, before)

    def _write(self, sort: Sort, year: str, there: list[Lying], now: dict[str, Held]) -> None:
        files = {table: self._dataset / place(table, self._book.id, year) for table in sort.tables}
        write_year(self._running, self._rows(sort, there, now), files, self._scratch)

    def _rows(self, sort: Sort, there: list[Lying], now: dict[str, Held]) -> Iterator[tuple[Table, Row]]:
        """The rows of a year; what cannot be read is left out whole, and `now` says why."""
        for one in there:
            if now[one.run.id].left_out:
                continue
            try:
                data = record_bytes(one)
                record = read_record(data)
            except (LedgerFault, RecordFault) as fault:
                now[one.run.id] = Held(one.stamp, left_out=fault.sentence)
                continue
            now[one.run.id] = held = Held(one.stamp, sha256(data).hexdigest(), one.sealed)
            yield from sort.rows(Lies(one.run.id, self._book.name, held.sealed, held.sha256), record)


def _is_told(held: Held) -> bool:
    return held.left_out not in ("", _AT_HOME)


def _rows_of(held: dict[str, Held]) -> dict[str, tuple[str, bool]]:
    """Tell what decides about the rows of each."""
    return {name: (each.sha256, each.sealed) for name, each in held.items() if not each.left_out}
