"""One year of a book in the dataset: a file of each table that has rows, each put in place whole."""

from __future__ import annotations

import os
from collections.abc import Iterable
from contextlib import ExitStack
from pathlib import Path
from typing import IO, TYPE_CHECKING

import msgspec

from clampbook.fleet import engine
from clampbook.fleet.columns import Table
from clampbook.fleet.of_checks import OF_CHECKS
from clampbook.fleet.of_runs import OF_RUNS
from clampbook.fleet.rows import Row
from clampbook.ledger.atomic import sync_folder

if TYPE_CHECKING:
    from duckdb import DuckDBPyConnection

FILE = "rows.parquet"
_AT_ONCE = 1 << 20  # bytes of a file of lines that wait to be written
_NOBODY = Path("book=none", "year=0", FILE)


def place(table: Table, book: str, year: str) -> Path:
    """The place of the rows of a year in the dataset, in the way of folders that other engines read too."""
    return Path(table.name, f"book={book}", f"year={year}", FILE)


def empty_tables(dataset: Path, running: DuckDBPyConnection, scratch: Path) -> None:
    """A file without rows of each table, so that one that nobody fills can be asked too."""
    for table in (*OF_RUNS, *OF_CHECKS):
        if not (dataset / table.name / _NOBODY).exists():
            made = scratch / f"{table.name}.parquet"
            engine.write(running, table, None, made)
            _put(made, dataset / table.name / _NOBODY)


def write_year(
    running: DuckDBPyConnection,
    rows: Iterable[tuple[Table, Row]],
    files: dict[Table, Path],
    scratch: Path,
) -> None:
    """Write the rows of a year to these files, table by table in their order; a table without a row has no file."""
    with_rows = _lines(rows, scratch)
    for table, path in files.items():
        lines = with_rows.get(table.name)
        if lines is None:
            path.unlink(missing_ok=True)
            continue
        made = scratch / f"{table.name}.parquet"
        engine.write(running, table, lines, made)
        lines.unlink()
        _put(made, path)


def _lines(rows: Iterable[tuple[Table, Row]], scratch: Path) -> dict[str, Path]:
    """The rows of each table in a file, a line of JSON for each, in the order in which they come."""
    encode = msgspec.json.Encoder(enc_hook=str).encode_into
    paths: dict[str, Path] = {}
    with ExitStack() as stack:
        files: dict[str, tuple[bytearray, IO[bytes]]] = {}
        for table, row in rows:
            if table.name not in files:
                paths[table.name] = scratch / f"{table.name}.jsonl"
                files[table.name] = bytearray(), stack.enter_context(paths[table.name].open("wb"))
            waiting, file = files[table.name]
            encode(row, waiting, len(waiting))
            waiting += b"\n"
            if len(waiting) > _AT_ONCE:
                file.write(waiting)
                waiting.clear()
        for waiting, file in files.values():
            file.write(waiting)
    return paths


def _put(made: Path, path: Path) -> None:
    """Put a file in its place, safe on the disk."""
    with made.open("rb") as file:
        os.fsync(file.fileno())
    path.parent.mkdir(parents=True, exist_ok=True)
    made.replace(path)
    sync_folder(path.parent)
