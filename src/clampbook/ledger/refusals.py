"""The refusals of a disk, what could not be read or written and why: each carries one sentence for the person."""

from __future__ import annotations

import errno
import os
from pathlib import Path

from clampbook.text import printable

NO_ROOM = frozenset({errno.ENOSPC, errno.EDQUOT, errno.EFBIG})
_LOST = frozenset(  # what a drive says whose cable or network is gone
    getattr(errno, name)
    for name in (
        "EIO",
        "ENXIO",
        "ENODEV",
        "ENOTCONN",
        "ESTALE",
        "EREMOTEIO",
        "ECONNABORTED",
        "ECONNRESET",
        "ETIMEDOUT",
        "EHOSTDOWN",
        "EHOSTUNREACH",
        "ENETDOWN",
        "ENETUNREACH",
    )
    if hasattr(errno, name)
)

NOT_SAVED = "Disk full. Your last answer is not saved. Free some space, answer again."


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
        return LedgerFull(f"Disk full. {shown(path)} could not {deed}. Free some space, then try again")
    if error.errno in (errno.ENOENT, errno.ENOTDIR):
        return LedgerFault(
            f"{shown(path)} could not {deed}: it is not there. Was the folder moved, or its disk unplugged? "
            "Bring it back, then try again"
        )
    if error.errno in _LOST:
        told = f"the disk does not answer ({reason(error)}). Is it plugged in, or the network there?"
        return LedgerFault(f"{shown(path)} could not {deed}: {told} Bring it back, then try again")
    if error.errno == errno.ELOOP:
        return LedgerFault(f"{shown(path)} could not {deed}: it is a link. Replace it with the file")
    if error.errno == errno.EROFS:
        told = "this disk is read-only. Copy the book to another disk"
        return LedgerFault(f"{shown(path)} could not {deed}: {told}")
    if error.errno in (errno.EACCES, errno.EPERM):
        told = f"{reason(error)}. Ask the owner of the book, or use a book of your own with --book"
        return LedgerFault(f"{shown(path)} could not {deed}: {told}")
    return LedgerFault(f"{shown(path)} could not {deed}: {reason(error)}")
