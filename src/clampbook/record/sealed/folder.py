"""A run's folder as it lies on the disk: its plain files, and what is none, never following a link."""

from __future__ import annotations

import os
import stat
from pathlib import Path

from msgspec import Struct

from clampbook.ledger.refusals import refusal
from clampbook.record.sealed.names import is_left_over

_MOST = 500_000_000  # bytes of one file; no run has a file that comes near it
_FLAGS = getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)


class Lying(Struct, frozen=True):
    """The content of a folder: the bytes of its plain files by name, and the names of all else: links, folders,
    files far too large to be of a run. `left_over` are plain files that a killed program left half written: no part
    of it."""

    files: dict[str, bytes]
    odd: tuple[str, ...]
    left_over: tuple[str, ...] = ()


def lying(folder: Path) -> Lying:
    """Everything in a folder. Raises LedgerFault where the system refuses to read."""
    files: dict[str, bytes] = {}
    odd: list[str] = []
    left_over: list[str] = []
    try:
        entries = sorted(os.scandir(folder), key=lambda entry: entry.name)
    except OSError as error:
        raise refusal(folder, error, "be read") from error
    for entry in entries:
        if is_left_over(entry.name) and entry.is_file(follow_symlinks=False):
            left_over.append(entry.name)
            continue
        data = _plain(folder / entry.name) if entry.is_file(follow_symlinks=False) else None
        if data is None:
            odd.append(entry.name)
        else:
            files[entry.name] = data
    return Lying(files, tuple(odd), tuple(left_over))


def _plain(path: Path) -> bytes | None:
    try:
        descriptor = os.open(path, os.O_RDONLY | _FLAGS)
        with os.fdopen(descriptor, "rb") as file:
            found = os.fstat(descriptor)
            return file.read() if stat.S_ISREG(found.st_mode) and found.st_size <= _MOST else None
    except FileNotFoundError:
        return None
    except OSError as error:
        raise refusal(path, error, "be read") from error
