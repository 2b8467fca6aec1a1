"""One writer at a time: a lock that the system itself frees when its holder ends, however it ends."""

from __future__ import annotations

import contextlib
import errno
import os
import platform
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING

import msgspec

from clampbook.ledger.refusals import LedgerFault, LockHeld, refusal, shown
from clampbook.text import printable

if TYPE_CHECKING:
    from filelock import BaseFileLock


_NO_LOCKS_HERE = frozenset({errno.ENOLCK, errno.ENOTSUP, errno.EOPNOTSUPP, errno.ENOSYS})
_NO_LOCK = (
    "This disk cannot lock files ({path}). If nobody else has the book open, use --alone. "
    "Else copy the book to a disk of this machine"
)
_MOST_OF_A_NOTE = 4096  # bytes


class Holder(msgspec.Struct, frozen=True):
    """The holder of a lock, as written beside it; the file's own time says since when."""

    who: str
    pid: int
    host: str


class Lock:
    """A lock that is held until `release`, the end of a `with`, or the end of the process."""

    def __init__(self, held: BaseFileLock | None, note: Path) -> None:
        self._held = held
        self._note = note

    def release(self) -> None:
        """Give the lock back; a second time does nothing."""
        if self._held is None:
            return
        with contextlib.suppress(OSError):
            self._note.unlink(missing_ok=True)
        with contextlib.suppress(OSError):  # of a drive that is lost; the lock ends with the program then
            self._held.release()
        self._held = None

    def __enter__(self) -> Lock:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.release()


def take(folder: Path, name: str, *, who: str = "", wait: float = 0, alone: bool = False) -> Lock:
    """Take the lock `<name>.lock` in `folder`, waiting at most `wait` seconds for it.

    `who` is shown to whoever comes second. Raises LockHeld where somebody else holds it, LedgerFault where this disk
    cannot lock at all and the person has not said that they are `alone`.
    """
    from filelock import FileLock, Timeout  # 40 ms that commands which only print must not pay

    path = folder / f"{name}.lock"
    note = folder / f"{name}.who"
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        if folder.is_symlink():
            raise OSError(errno.ELOOP, os.strerror(errno.ELOOP))
    except OSError as error:
        raise refusal(folder, error, "be used for locks") from error
    lock = FileLock(path, timeout=wait, mode=0o600, thread_local=False, fallback_to_soft=False)
    try:
        lock.acquire()
    except Timeout as error:
        raise LockHeld(_held_sentence(name, note)) from error
    except OSError as error:
        if error.errno not in _NO_LOCKS_HERE:
            raise refusal(path, error, "be locked") from error
        if not alone:
            raise LedgerFault(_NO_LOCK.format(path=shown(path))) from error
        return Lock(None, note)
    _write_note(note, who)
    return Lock(lock, note)


def hand_on(folder: Path, name: str, who: str) -> None:
    """Say that somebody else holds it from now on, for the program that has taken it and keeps it."""
    _write_note(folder / f"{name}.who", who)


@dataclass(frozen=True, slots=True)
class Held:
    """A lock that somebody has now: who, where that is known, and since when."""

    who: str
    since: datetime


def held(folder: Path, name: str) -> Held | None:
    """Name the holder of this lock at the moment; None where nobody has it. What a holder left that was
    killed is taken away.
    """
    from filelock import FileLock, Timeout

    note = folder / f"{name}.who"
    found = _read_note(note)
    if found is None:
        return None
    lock = FileLock(folder / f"{name}.lock", timeout=0, mode=0o600, thread_local=False, fallback_to_soft=False)
    try:
        with lock, contextlib.suppress(FileNotFoundError):
            note.unlink()
    except (Timeout, OSError):
        return Held(printable(found[0].who), found[1])
    return None


def _write_note(note: Path, who: str) -> None:
    """Say who holds the lock. The lock itself does not depend on it, so a failure here is no fault."""
    holder = Holder(who, os.getpid(), platform.node())
    with contextlib.suppress(OSError):
        note.unlink(missing_ok=True)
        descriptor = os.open(note, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        with os.fdopen(descriptor, "wb") as file:
            file.write(msgspec.json.encode(holder))


def _held_sentence(name: str, note: Path) -> str:
    told = "Close it there first"
    found = _read_note(note)
    if found is None:
        return f"“{printable(name)}” is open elsewhere. {told}"
    holder, since = found
    who = printable(holder.who) or "Another program"
    where = f"process {holder.pid} on {printable(holder.host)}, since {since:%Y-%m-%d %H:%M}"
    return f"{who} has “{printable(name)}” open elsewhere ({where}). {told}"


def _read_note(note: Path) -> tuple[Holder, datetime] | None:
    """Read who wrote the note beside a lock, and when; None where there is none, or none that can be read."""
    try:
        with note.open("rb") as file:
            holder = msgspec.json.decode(file.read(_MOST_OF_A_NOTE), type=Holder)
        return holder, datetime.fromtimestamp(note.stat().st_mtime).astimezone()
    except (OSError, OverflowError, ValueError, msgspec.DecodeError):
        return None
