"""The two sorts of work that fill the dataset: runs and checks, each with its folder, its record and its tables."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal

from clampbook.archive.foreign import Table as Record
from clampbook.archive.reading_in import record_of
from clampbook.archive.shelf import Lying, lying_one
from clampbook.check.folder import CheckFolder
from clampbook.fleet.columns import Table
from clampbook.fleet.of_checks import OF_CHECKS
from clampbook.fleet.of_runs import OF_RUNS
from clampbook.fleet.rows import Lies, Row, of_check, of_run
from clampbook.ledger.formats import unlike
from clampbook.ledger.inside import inside, read_file
from clampbook.ledger.refusals import LedgerFault
from clampbook.run_folder import DAYBOOK, RECORD, RunFolder, names

Folder = Literal["runs", "checks"]
_MOST_OF_A_DAYBOOK = 200_000_000  # bytes


@dataclass(frozen=True, slots=True)
class Sort:
    """Runs, or checks."""

    folder: Folder
    tables: tuple[Table, ...]
    rows: Callable[[Lies, Record], Iterator[tuple[Table, Row]]]

    def lying(self, book: Path) -> Iterator[Lying]:
        """All that is over. Raises LedgerFault."""
        folder = inside(book, self.folder)
        for name in names(folder):
            one = lying_one(CheckFolder(folder / name) if self.folder == "checks" else RunFolder(folder / name))
            if one is not None:
                yield one


RUNS = Sort("runs", OF_RUNS, of_run)
CHECKS = Sort("checks", OF_CHECKS, of_check)
SORTS = (RUNS, CHECKS)


def record_bytes(one: Lying) -> bytes:
    """record.toml as it lies there, or as it is made of the other files. Raises LedgerFault, RecordFault."""
    if one.recorded or not isinstance(one.run, CheckFolder):
        return record_of(one)
    from clampbook.record.checks.record import build

    return build(one.run.plan(), read_file(inside(one.run.path, DAYBOOK), _MOST_OF_A_DAYBOOK), one.run.readings())


def read_record(data: bytes) -> dict[str, Any]:
    """Read what a record says. Raises LedgerFault where it cannot be read, or is of another format."""
    import rtoml

    try:
        record: dict[str, Any] = rtoml.loads(data.decode())
    except (ValueError, RecursionError) as error:
        raise LedgerFault(f"{RECORD} cannot be read: {error}") from error
    number = record.get("record")
    told = unlike(RECORD, number) if isinstance(number, int) else f"{RECORD} names no format"
    if told is not None:
        raise LedgerFault(told)
    return record
