"""The file of the index: opened, made anew where it cannot be used, or kept in memory where nothing can be written.

It is a cache. Whatever is wrong with it, the runs' folders are read again, and nothing is lost.
"""

from __future__ import annotations

import contextlib
import os
import sqlite3
from pathlib import Path

from msgspec import Struct

from clampbook.archive import tables
from clampbook.ledger import lock
from clampbook.ledger.inside import inside
from clampbook.ledger.refusals import LedgerFault, reason

INDEX = "index.sqlite"
_LOCKS = ".locks"
_PATIENCE = 10.0  # seconds that one program waits for another
_PARTS = ("-wal", "-shm", "-journal", "")  # the file itself last: an empty one takes no other one's leavings
_DAMAGED = frozenset({sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB, sqlite3.SQLITE_ERROR, sqlite3.SQLITE_SCHEMA})
_BUSY = frozenset({sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED})
IN_MEMORY = "The index of this book cannot be saved ({why}). Each search reads all records again."


class Opened(Struct, frozen=True):
    """An index that can be used, and a sentence where it is only in memory."""

    connection: sqlite3.Connection
    told: str = ""


def open_store(root: Path) -> Opened:
    """The index of a book: as it is, or empty where there is none, or none that this program can use."""
    try:
        path = inside(root, INDEX)
        if (root / INDEX).is_symlink():
            raise LedgerFault(f"{INDEX} is a link, and links are not followed here")
        connection = _usable(path)
        if connection is None:
            connection = renewed(root)
        return Opened(connection)
    except LedgerFault as fault:
        return Opened(_in_memory(None), IN_MEMORY.format(why=fault.sentence))
    except (OSError, sqlite3.Error) as error:
        return Opened(_in_memory(root / INDEX), in_memory_as(error))


def renewed(root: Path, *, unsound: bool = False) -> sqlite3.Connection:
    """An empty index in place of one that is damaged, or of another version.

    Two programs may find one that cannot be used at once: the second takes what the first has made. With `unsound` it
    looked usable, and was not: then it goes whatever it is, and whoever else has it open goes on with what is no more.
    Raises LedgerFault, OSError, sqlite3.Error.
    """
    path = inside(root, INDEX)
    inside(root, _LOCKS).mkdir(mode=0o700, exist_ok=True)
    with lock.take(inside(root, _LOCKS), "index", wait=_PATIENCE):
        connection = None if unsound else _usable(path)
        if connection is not None:
            return connection
        for ending in _PARTS:
            path.with_name(path.name + ending).unlink(missing_ok=True)
        connection = _usable(path)
    if connection is None:
        raise sqlite3.OperationalError("an empty file is no index")
    return connection


def in_memory_as(error: Exception) -> str:
    """The sentence that tells of an index in memory, with the system's own words for what is in its way."""
    return IN_MEMORY.format(why=reason(error) if isinstance(error, OSError) else error)


def to_memory(root: Path, connection: sqlite3.Connection) -> sqlite3.Connection:
    """A copy in memory of what is known so far."""
    connection.close()
    return _in_memory(root / INDEX)


def is_damaged(error: sqlite3.Error) -> bool:
    """True where an error says that the index itself is not sound."""
    return _code(error) in _DAMAGED


def is_busy(error: sqlite3.Error) -> bool:
    """True where another program is writing, for longer than anybody waits."""
    return _code(error) in _BUSY


def _code(error: sqlite3.Error) -> int:
    return int(getattr(error, "sqlite_errorcode", 0) or 0) & 0xFF


def _usable(path: Path) -> sqlite3.Connection | None:
    """The index at this path, with its tables; None where it is damaged or has another shape."""
    os.close(os.open(path, os.O_RDWR | os.O_CREAT | getattr(os, "O_NOFOLLOW", 0), 0o600))
    connection = sqlite3.connect(path, timeout=_PATIENCE, isolation_level=None, check_same_thread=False)
    try:
        _set_up(connection)
        if tables.is_empty(connection):
            with contextlib.suppress(sqlite3.OperationalError):  # another program may have made them meanwhile
                tables.make(connection)
        if tables.fits(connection):
            return connection
    except sqlite3.Error as error:
        connection.close()
        if is_damaged(error):
            return None
        raise
    connection.close()
    return None


def _set_up(connection: sqlite3.Connection) -> None:
    connection.execute("PRAGMA trusted_schema = OFF")
    connection.execute("PRAGMA synchronous = NORMAL")
    connection.execute("PRAGMA journal_mode = WAL").fetchone()
    connection.execute("PRAGMA cache_size = -16000")


def _in_memory(path: Path | None) -> sqlite3.Connection:
    """An index in memory; filled with the one on disk where that can at least be read."""
    connection = sqlite3.connect(":memory:", isolation_level=None, check_same_thread=False)
    if path is not None and path.is_file() and not path.is_symlink():
        try:
            with contextlib.closing(sqlite3.connect(f"{path.resolve().as_uri()}?immutable=1", uri=True)) as disk:
                disk.backup(connection)
            if tables.fits(connection):
                return connection
        except sqlite3.Error:
            pass
        connection.close()
        connection = sqlite3.connect(":memory:", isolation_level=None, check_same_thread=False)
    tables.make(connection)
    return connection
