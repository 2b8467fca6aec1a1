"""The engine that writes the files of the dataset, and answers questions of it."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from clampbook.fleet.columns import Table
from clampbook.ledger.refusals import LedgerFault

if TYPE_CHECKING:
    from duckdb import DuckDBPyConnection

MISSING = "This needs an engine that is not installed. Install it: pip install 'clampbook[fleet]'"
_MEMORY = "400MB"
_MOST_OF_A_ROW = 100_000_000  # bytes


def opened(spill: Path) -> DuckDBPyConnection:
    """An engine that holds no more in memory than a workshop's computer has, and no data of its own. Raises
    LedgerFault where it is not installed."""
    try:
        import duckdb
        import rtoml  # noqa: F401 - the other half of the extra
    except ImportError as error:
        raise LedgerFault(MISSING) from error
    settings: dict[str, str | bool | int | float | list[str]] = {
        "memory_limit": _MEMORY,
        "temp_directory": str(spill),
        "autoinstall_known_extensions": False,
        "threads": 2,
    }
    connection = duckdb.connect(":memory:", config=settings)
    connection.execute("SET TimeZone = 'UTC'")
    return connection


def write(engine: DuckDBPyConnection, table: Table, lines: Path | None, into: Path) -> None:
    """Write a file of the table, from lines of JSON or without a row."""
    columns = ", ".join(f'{column.expression} AS "{column.name}"' for column in table.columns)
    keys = ", ".join(f"'{key}': '{holds}'" for key, holds in table.keys.items())
    if lines is None:
        texts = ", ".join(f'NULL::{holds} AS "{key}"' for key, holds in table.keys.items())
        source = f"(SELECT {texts}) WHERE false"
    else:
        source = (
            f"read_json({quoted(lines)}, format = 'newline_delimited', columns = {{{keys}}}, "
            f"maximum_object_size = {_MOST_OF_A_ROW})"
        )
    engine.execute(f"COPY (SELECT {columns} FROM {source}) TO {quoted(into)} (FORMAT parquet, COMPRESSION zstd)")


def quoted(path: Path) -> str:
    """A path as the engine's own language has it."""
    text = str(path).replace("'", "''")
    return f"'{text}'"
