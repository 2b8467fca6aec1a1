"""A ledger on disk: read whole, its torn tail moved aside and told, then only added to, one safe line at a time."""

from __future__ import annotations

import contextlib
import os
import stat
from collections.abc import Iterator, Mapping
from pathlib import Path

from msgspec import Struct

from clampbook.ledger import atomic, lines
from clampbook.ledger.refusals import LedgerFault, refusal, shown

_FLAGS = getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)
_AGAIN = "Leave it, then open it again"


def read(path: Path) -> tuple[list[bytes], int]:
    """The whole lines of a ledger and the number of bytes torn off after them; needs no lock and changes nothing."""
    whole, tail = lines.split(read_bytes(path))
    return whole, len(tail)


def read_bytes(path: Path, begin: int = 0) -> bytes:
    """The same as one piece, with what is torn off; from this byte on."""
    with _opened(path, os.O_RDONLY, "be read") as descriptor:
        return _read_all(descriptor, begin)


class End(Struct, frozen=True):
    """The end of a ledger as somebody knows it: its bytes, how many lines they are, and the last of these, which holds
    the hash of all before it."""

    size: int = 0
    count: int = 0
    last: bytes = b""

    @property
    def last_begins(self) -> int:
        """The place where the last line begins; with it, what was added can be read without all before it."""
        return self.size - len(self.last) - 1 if self.count else 0

    def added(self, data: bytes) -> bytes | None:
        """Give what comes after this end in the bytes from `last_begins` on; None where they do not go on with it."""
        last = self.last + b"\n" if self.count else b""
        return data[len(last) :] if data.startswith(last) else None


class Ledger:
    """A ledger opened for adding to it; whoever opens it holds its lock until done.

    `lines` are those on disk, without their newline, from where it was read on; `torn` counts the bytes of a torn last
    line that were moved into a file of their own when it was opened.
    """

    def __init__(
        self, path: Path, whole: list[bytes], identity: tuple[int, int], torn: int = 0, after: End | None = None
    ) -> None:
        before = after or End()
        self.path = path
        self.lines = whole
        self.torn = torn
        self._last = whole[-1] if whole else before.last
        self._count = before.count + len(whole)
        self._size = before.size + sum(len(line) + 1 for line in whole)
        self.head = lines.digest(self._last) if self._count else lines.NOTHING_BEFORE
        self._identity = identity

    @classmethod
    def open(cls, path: Path, *, create: bool = False, after: End | None = None) -> Ledger:
        """Open the ledger at `path`; with `create` it must not be there yet. Where it goes on with `after`, only what
        comes behind that is read.

        Raises LedgerFault where it cannot be read or written, LedgerFull where a torn tail finds no room.
        """
        made = os.O_CREAT | os.O_EXCL if create else 0
        with _opened(path, os.O_RDWR | made, "be made" if create else "be opened") as descriptor:
            if create:
                os.fsync(descriptor)
                atomic.sync_folder(path.parent)
            added = None if after is None else after.added(_read_all(descriptor, after.last_begins))
            whole, tail = lines.split(_read_all(descriptor) if added is None else added)
            ledger = cls(path, whole, _identity(descriptor), len(tail), None if added is None else after)
            if tail:
                _put_torn_away(path, tail)
                os.ftruncate(descriptor, ledger._size)
                os.fsync(descriptor)
        return ledger

    def append(self, fields: Mapping[str, object]) -> bytes:
        """Add a line with its number and the hash of the line before, safe on the disk when this returns it.

        Raises LedgerFault where the file is not the one last known or cannot be written, LedgerFull where there is no
        room; in both cases the file is as it was, and adding works again once the cause is gone.
        """
        line = lines.encode(fields, self._count + 1, self.head)
        with _opened(self.path, os.O_RDWR | os.O_APPEND, "be written") as descriptor:
            self._refuse_if_changed(descriptor)
            try:
                atomic.write_all(descriptor, line + b"\n")
            except BaseException:
                self._cut_back(descriptor)
                raise
        self.lines.append(line)
        self._last, self._count = line, self._count + 1
        self.head = lines.digest(line)
        self._size += len(line) + 1
        return line

    def _refuse_if_changed(self, descriptor: int) -> None:
        """Nothing is added to a file that another program replaced, made longer or shorter, or changed at its end."""
        if _identity(descriptor) != self._identity:
            raise LedgerFault(f"{shown(self.path)} was replaced by another file while it was open. {_AGAIN}")
        size = os.fstat(descriptor).st_size
        if size != self._size:
            told = f"{size} bytes instead of {self._size}"
            raise LedgerFault(
                f"{shown(self.path)} was changed by another program ({told}). Nothing was added. {_AGAIN}"
            )
        last = self._last + b"\n" if self._count else b""
        os.lseek(descriptor, size - len(last), os.SEEK_SET)
        if os.read(descriptor, len(last)) != last:
            raise LedgerFault(f"the last line of {shown(self.path)} was changed by another program. {_AGAIN}")

    def _cut_back(self, descriptor: int) -> None:
        """Take half a line away again. Where even that fails, the size check refuses until the file is opened anew."""
        with contextlib.suppress(OSError):
            os.ftruncate(descriptor, self._size)
            os.fsync(descriptor)


@contextlib.contextmanager
def _opened(path: Path, flags: int, deed: str) -> Iterator[int]:
    """A plain file opened without following a link, readable by its owner; what the system refuses is a LedgerFault."""
    try:
        descriptor = os.open(path, flags | _FLAGS, 0o600)
        try:
            if not stat.S_ISREG(os.fstat(descriptor).st_mode):
                raise LedgerFault(f"{shown(path)} could not {deed}: it is no plain file")
            yield descriptor
        finally:
            os.close(descriptor)
    except OSError as error:
        raise refusal(path, error, deed) from error


def _read_all(descriptor: int, begin: int = 0) -> bytes:
    os.lseek(descriptor, begin, os.SEEK_SET)
    with open(descriptor, "rb", closefd=False) as file:
        return file.read()


def _identity(descriptor: int) -> tuple[int, int]:
    found = os.fstat(descriptor)
    return found.st_dev, found.st_ino


def _put_torn_away(path: Path, tail: bytes) -> None:
    """Keep torn bytes in the first free of `<name>.torn-0001`, `-0002` …: never deleted, never guessed at."""
    number = 1
    while (beside := path.with_name(f"{path.stem}.torn-{number:04d}")).exists():
        number += 1
    atomic.write(beside, tail)
