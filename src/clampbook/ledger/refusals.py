"""The refusals of a disk, what could not be read or written and why: each carries one sentence for the person."""

from __future__ import annotations

import errno
import os
from pathlib import Path

from clampbook.text import printable

NO_ROOM = frozenset({errno.ENOSPC, errno.EDQUOT, errno.EFBIG})


class LedgerFault(Exception):  # noqa: N818 - what it carries is a fault of the ledger
    """Something on disk is not as it must be, and nothing was changed. `sentence` says what and what to do."""

    def __init__(self, sentence: str) -> None:
        self.sentence = printable(sentence)  # it may quote what was found in a file
        super().__init__(self.sentence)


class LedgerFull(LedgerFault):
    """There was no room for the line; what was there before is untouched, and writing goes on once there is room."""


class LockHeld(LedgerFault):
    """Somebody else is writing."""


def shown(path: Path) -> str:
    """A path as it may stand in a sentence: an odd name never reaches the screen raw."""
    return f"'{printable(str(path))}'"


def reason(error: OSError) -> str:
    """The system's own words for an error, in lower case, such as 'permission denied'."""
    said = os.strerror(error.errno) if error.errno else str(error)
    return said[:1].lower() + said[1:]


def refusal(path: Path, error: OSError, deed: str) -> LedgerFault:
    """The refusal that fits what the system said; `deed` is what failed, such as 'be written'."""
    if error.errno in NO_ROOM:
        return LedgerFull(f"{shown(path)} could not {deed}: there is no room left; make room and try again")
    if error.errno in (errno.ENOENT, errno.ENOTDIR):
        return LedgerFault(
            f"{shown(path)} could not {deed}: it is not there; was the folder moved or a drive unplugged? "
            "Put it back and try again"
        )
    if error.errno == errno.ELOOP:
        return LedgerFault(f"{shown(path)} could not {deed}: it is a link, and links are not followed here")
    if error.errno == errno.EROFS:
        told = "this disk can only be read; copy the book to one that can be written"
        return LedgerFault(f"{shown(path)} could not {deed}: {told}")
    if error.errno in (errno.EACCES, errno.EPERM):
        told = f"{reason(error)}; whoever owns the book must allow it, or take a book of your own with --book"
        return LedgerFault(f"{shown(path)} could not {deed}: {told}")
    return LedgerFault(f"{shown(path)} could not {deed}: {reason(error)}")
