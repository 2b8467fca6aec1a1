"""Paths within a book: a link is followed only as long as it does not lead out of the book's folder."""

from __future__ import annotations

import errno
import os
import stat
from functools import lru_cache
from pathlib import Path, PurePath

from clampbook.ledger.refusals import LedgerFault, refusal, shown


def inside(root: Path, *parts: str) -> Path:
    """The real path of something in the folder `root`, whether it is there yet or not.

    Raises LedgerFault where a link (or `..`) leads out of the folder.
    """
    real = _plain(root, *parts)
    if real is not None:
        return real
    try:
        real = root.joinpath(*parts).resolve()
        within = real.is_relative_to(root.resolve())
    except (OSError, RuntimeError) as error:
        raise _in_a_circle(root.joinpath(*parts)) from error
    try:
        real.stat()  # from Python 3.13 on only this tells of a circle
    except OSError as error:
        if error.errno == errno.ELOOP:
            raise _in_a_circle(root.joinpath(*parts)) from error
    if not within:
        raise LedgerFault(f"{shown(root.joinpath(*parts))} leads out of the book: put the file there, not a link")
    return real


def _plain(root: Path, *parts: str) -> Path | None:
    """The same where no part is a link, with one look at each: on a shared drive every look goes there and back. None
    where there is a link, and where a system has others than the one that is known here."""
    below = PurePath(*parts)
    if os.name != "posix" or below.anchor or ".." in below.parts:
        return None
    at = real = _real(root.absolute())
    for part in below.parts:
        at = at / part
        try:
            found = at.lstat()
        except OSError:  # nothing is there, or nobody may look: whoever opens it is told
            break
        if stat.S_ISLNK(found.st_mode):
            return None
    return real / below


@lru_cache(64)
def _real(root: Path) -> Path:
    """The folder itself; one program asks for it hundreds of times, and it stays in its book."""
    return root.resolve()


def _in_a_circle(path: Path) -> LedgerFault:
    return LedgerFault(f"{shown(path)} cannot be followed: its links go in a circle")


def read_file(path: Path, most: int) -> bytes:
    """The bytes of a plain file of at most `most` bytes. Raises LedgerFault."""
    try:
        descriptor = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0))
        with os.fdopen(descriptor, "rb") as file:
            if not stat.S_ISREG(os.fstat(descriptor).st_mode):
                raise LedgerFault(f"{shown(path)} could not be read: it is no plain file")
            data = file.read(most + 1)
    except OSError as error:
        raise refusal(path, error, "be read") from error
    if len(data) > most:
        raise LedgerFault(f"{shown(path)} is larger than {most} bytes and is not read")
    return data
