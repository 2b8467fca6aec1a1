"""The index of a book's runs: brought up to date from their folders, reading only what changed, then searched."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from time import monotonic
from typing import TypeVar

from msgspec import Struct

from clampbook.archive import store, tables
from clampbook.archive.entry import Entry
from clampbook.archive.shelf import Lying, Stamp, lying, lying_names, lying_one
from clampbook.ledger.refusals import LedgerFault
from clampbook.run_folder import RunFolder

_AT_ONCE, _LONGEST = 250, 0.5  # runs, and seconds, after which what was read is written: all that stopping it loses
_BUSY = "Another program is writing the index of this book: what it wrote last may be missing here."
Progress = Callable[[int, int], None]  # runs read, of how many
Answer = TypeVar("Answer")


class Known(Struct, frozen=True):
    """The version of a run's files that the index holds."""

    stamp: tuple[int, ...]
    sha256: bytes
    sealed: bool
    fault: str

    def stays(self, sealed: bool) -> bool:
        """Tell whether it holds for a run that the log ends so; what could not be read is looked at each time."""
        return self.sealed == sealed and not self.fault


class _Read(Struct, frozen=True):
    """A run as it was read; no entry where its record is the one that is known."""

    run: str
    sealed: bool
    stamp: Stamp
    entry: Entry | None
    sha256: bytes


class Archive:
    """An open index. `told` are sentences about it that a person should read; close it when done."""

    def __init__(self, root: Path) -> None:
        self._root = root
        opened = store.open_store(root)
        self._connection = opened.connection
        self.told: tuple[str, ...] = (opened.told,) if opened.told else ()

    def __enter__(self) -> Archive:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def close(self) -> None:
        """Let go of the file."""
        self._connection.close()

    def refresh(self, progress: Progress | None = None, settled: Mapping[str, bool] | None = None) -> int:
        """Read what was added or changed since, forget what is gone; how many records were read.

        `settled` are the runs that the book's log ends, and whether as sealed: what is known of them stays as it is.

        `progress` is told after each run that is read; what it raises, and Ctrl-C, ends it with what is done so far.
        Raises LedgerFault where the folder of the runs cannot be read.
        """
        try:
            return self.asked(lambda _: self._refresh(progress, settled))
        except sqlite3.Error as error:
            if store.is_busy(error):
                self._tell(_BUSY)
                return 0
            self._tell(store.in_memory_as(error))
            self._connection = store.to_memory(self._root, self._connection)
            return self._refresh(progress, settled)

    def asked(self, question: Callable[[sqlite3.Connection], Answer]) -> Answer:
        """The answer of the index; one that is found damaged is made anew first. Raises sqlite3.Error, LedgerFault."""
        try:
            return question(self._connection)
        except sqlite3.Error as error:
            if not store.is_damaged(error):
                raise
            self._connection.close()
            self._anew()
            self._refresh(None)
            return question(self._connection)

    def _anew(self) -> None:
        try:
            self._connection = store.renewed(self._root, unsound=True)
        except (LedgerFault, OSError, sqlite3.Error) as error:
            self._tell(store.in_memory_as(error))
            self._connection = store.to_memory(self._root, self._connection)

    def _refresh(self, progress: Progress | None, settled: Mapping[str, bool] | None = None) -> int:
        known = self._known()
        kept = {run for run, sealed in (settled or {}).items() if (had := known.get(run)) and had.stays(sealed)}
        names = lying_names(self._root)
        there = {one.run.id: one for one in lying(self._root, (name for name in names if name not in kept))}
        changed = [(one, had) for id, one in there.items() if (had := known.get(id)) is None or one.stamp != had.stamp]
        read_ones: list[_Read] = []
        begun = monotonic()
        for done, (one, had) in enumerate(changed, start=1):
            read_ones.append(_read(one, had))
            if progress is not None:
                progress(done, len(changed))
            if len(read_ones) >= _AT_ONCE or monotonic() - begun > _LONGEST:
                self._write(read_ones)
                read_ones, begun = [], monotonic()
        kept.intersection_update(names)
        self._write(read_ones, [run for run in known if run not in there and run not in kept])
        return len(changed)

    def take_in(self, one: Lying) -> None:
        """Read this one run and no other."""
        self._write([_read(one, self._known(one.run.id).get(one.run.id))])

    def _write(self, read_ones: Sequence[_Read], gone: Sequence[str] = ()) -> None:
        """All of it in one short transaction, so that nobody else waits for long."""
        if not read_ones and not gone:
            return
        with _Writing(self._connection):
            for each in read_ones:
                if each.entry is None:
                    tables.restamp(self._connection, each.run, each.sealed, each.stamp)
                else:
                    tables.put(self._connection, each.entry, each.sealed, each.stamp, each.sha256)
            for run in gone:
                tables.take_out(self._connection, run)

    def _known(self, run: str | None = None) -> dict[str, Known]:
        one, values = ("", ()) if run is None else (" WHERE run = ?", (run,))
        rows = self._connection.execute(f"SELECT {tables.KNOWN} FROM run{one}", values)
        return {
            run: Known((folder, *three), digest, bool(sealed), fault)
            for run, folder, *three, digest, sealed, fault in rows
        }

    def _tell(self, sentence: str) -> None:
        if sentence not in self.told:
            self.told = (*self.told, sentence)


def noted(root: Path, run: RunFolder) -> None:
    """A run was closed or sealed just now: put it into the index, where there is one. Never in the way of anything."""
    try:
        if not (root / store.INDEX).is_file():
            return
        one = lying_one(run)
        if one is None:
            return
        with Archive(root) as archive:
            archive.take_in(one)
    except (LedgerFault, OSError, sqlite3.Error):
        return  # it is read the next time that somebody searches


def _read(one: Lying, had: Known | None) -> _Read:
    from clampbook.archive.reading_in import read  # most of the program, and most searches have nothing new to read

    sealed = one.sealed
    entry, sha256 = read(one, None if had is None else had.sha256)
    return _Read(one.run.id, sealed, one.stamp, entry, sha256)


class _Writing:
    """One transaction: all of it is kept, or, whatever happened, none."""

    def __init__(self, connection: sqlite3.Connection) -> None:
        self._connection = connection

    def __enter__(self) -> None:
        self._connection.execute("BEGIN IMMEDIATE")

    def __exit__(self, kind: object, *_: object) -> None:
        try:
            if kind is None:
                self._connection.execute("COMMIT")
        finally:
            if self._connection.in_transaction:  # where the disk is full it was taken back already
                self._connection.execute("ROLLBACK")
