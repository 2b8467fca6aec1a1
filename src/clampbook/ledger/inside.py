"""Paths within a book: a link is followed only as long as it does not lead out of the book's folder."""

from __future__ import annotations

import errno
import os
import stat
from pathlib import Path

from clampbook.ledger.refusals import LedgerFault, refusal, shown


def inside(root: Path, *parts: str) -> Path:
    """The real path of something in the folder `root`, whether it is there yet or not.

    Raises LedgerFault where a link (or `..`) leads out of the folder.
    """
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
