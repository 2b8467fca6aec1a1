"""Files that are there whole or not at all: written beside, made safe on the disk, then put in place."""

from __future__ import annotations

import contextlib
import os
import re
from collections.abc import Callable, Iterable
from pathlib import Path

from clampbook.ledger.refusals import refusal

_TEMPORARY = re.compile(r"\.(.+)\.[0-9a-f]{8}\.tmp")


def write(path: Path, data: bytes, mode: int = 0o600) -> None:
    """Put `data` in place of whatever is at `path`; after any failure, also a power cut, the old file is whole.

    Raises LedgerFull where there is no room, LedgerFault for everything else the system refuses.
    """
    write_parts(path, lambda: (data,), mode)


def write_parts(path: Path, parts: Callable[[], Iterable[bytes]], mode: int = 0o600) -> None:
    """The same of data that is too much to be held at once; `parts` gives it from its beginning each time."""
    try:
        try:
            _write_beside(path, parts(), mode)
        except FileNotFoundError:
            # Another program that starts just now may have swept it away as a left-over; a second time it does not.
            _write_beside(path, parts(), mode)
        sync_folder(path.parent)
    except OSError as error:
        raise refusal(path, error, "be written") from error


def half_written(name: str) -> str | None:
    """The file that one of this name was to become, had its program not been killed; None for any other name."""
    found = _TEMPORARY.fullmatch(name)
    return None if found is None else found[1]


def is_temporary(name: str) -> bool:
    """True where a file of this name was written beside another and, its program killed, never put in place."""
    return half_written(name) is not None


def sync_folder(folder: Path) -> None:
    """Make the names in a folder safe on the disk; only POSIX systems let a folder be opened for that."""
    if os.name != "posix":
        return
    descriptor = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)


def write_all(descriptor: int, data: bytes) -> None:
    """Write every byte and make it safe on the disk; the system may take less than all at once."""
    _put(descriptor, data)
    os.fsync(descriptor)


def _put(descriptor: int, data: bytes) -> None:
    rest = memoryview(data)
    while rest:
        rest = rest[os.write(descriptor, rest) :]


def _write_beside(path: Path, parts: Iterable[bytes], mode: int) -> None:
    beside = path.with_name(f".{path.name}.{os.urandom(4).hex()}.tmp")
    try:
        _write_new(beside, parts, mode)
        beside.replace(path)
    finally:
        with contextlib.suppress(OSError):
            beside.unlink(missing_ok=True)


def _write_new(path: Path, parts: Iterable[bytes], mode: int) -> None:
    """Write a file that must not exist yet, readable as `mode` says whatever the umask."""
    flags = os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0)
    descriptor = os.open(path, flags, mode)
    try:
        for part in parts:
            _put(descriptor, part)
        os.fsync(descriptor)
    finally:
        os.close(descriptor)
    path.chmod(mode)
