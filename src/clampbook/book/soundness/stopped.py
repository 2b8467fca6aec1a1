"""Findings of verifying a book that somebody stopped, so that the same command takes up there.

It spares no reading. Every file is read and hashed again, and what was found before counts for the very same bytes
alone, under the very same logs and trusted keys, for a day, and until a pass comes to its end. It lies in a folder of
the person who verifies, never in the book: whoever can write to the book could write it too. For the same reason it
counts for nothing where others can write to it.
"""

from __future__ import annotations

import contextlib
import os
import stat
from collections.abc import Iterable, Mapping
from datetime import datetime, timedelta
from hashlib import sha256
from pathlib import Path

import msgspec
from msgspec import Struct

from clampbook.book.soundness.found import Looked, Soundness
from clampbook.ledger import atomic
from clampbook.ledger.inside import read_file
from clampbook.ledger.lines import UNREADABLE
from clampbook.ledger.private import make_folder
from clampbook.ledger.refusals import LedgerFault
from clampbook.record.sealed.folder import Lying

HOURS = 24  # that it counts
_FOLDER = "verifying"
_MOST = 1_000_000_000  # bytes
_OTHERS_WRITE = stat.S_IWGRP | stat.S_IWOTH


class Before(Struct, frozen=True):
    """The findings about one run or check: over which bytes (as `sum_of` names them), and when."""

    sum: str
    at: datetime
    found: Soundness


class _Kept(Struct, frozen=True):
    ground: str
    before: dict[str, Before]


def kept(ground: str, now: datetime) -> dict[str, Before]:
    """Findings on this ground, by folder within the book; none where they are old, or others can write to them.

    `ground` names all that a finding rests on but the folder itself.
    """
    place = _place(ground)
    try:
        if not (_only_mine(place.parent) and _only_mine(place)):
            return {}
        digest, _, data = read_file(place, _MOST).partition(b"\n")
        if sha256(data).hexdigest().encode() != digest:
            return {}
        found = msgspec.json.decode(data, type=_Kept)
    except (OSError, LedgerFault, *UNREADABLE):
        return {}
    if found.ground != ground:
        return {}
    since = now - timedelta(hours=HOURS)
    return {name: each for name, each in found.before.items() if since < each.at <= now}


def keep(ground: str, before: Mapping[str, Before]) -> bool:
    """Keep it for the next time; False where nothing can be written."""
    place = _place(ground)
    data = msgspec.json.encode(_Kept(ground, dict(before)))
    try:
        make_folder(place.parent)
        atomic.write(place, sha256(data).hexdigest().encode() + b"\n" + data)
    except (OSError, LedgerFault):
        return False
    return True


def of(looked: Iterable[Looked], at: datetime) -> dict[str, Before]:
    """Findings of this time that can be kept."""
    return {each.where: Before(each.sum, each.before or at, each.found) for each in looked if each.sum}


def forget(ground: str) -> None:
    """A pass came to its end: the next one works out everything."""
    with contextlib.suppress(OSError):
        _place(ground).unlink(missing_ok=True)


def sum_of(found: Lying, hashes: Mapping[str, str]) -> str:
    """Name all that lies in a folder: its files with the SHA-256 of each (`hashes`), and the names of all else."""
    return sha256(msgspec.json.encode((sorted(hashes.items()), found.odd, found.left_over))).hexdigest()


def _place(ground: str) -> Path:
    from platformdirs import user_cache_path

    return user_cache_path("clampbook", appauthor=False) / _FOLDER / f"{ground[:16]}.json"


def _only_mine(path: Path) -> bool:
    """True where the person who asks owns it, and nobody else may write to it."""
    found = path.lstat()
    if stat.S_ISLNK(found.st_mode):
        return False
    return os.name != "posix" or (found.st_uid == os.geteuid() and not found.st_mode & _OTHERS_WRITE)
