"""All that the dataset holds of a book: a small file each, written last, so that it never names what is not there."""

from __future__ import annotations

import contextlib
from pathlib import Path

import msgspec

from clampbook.archive.shelf import Stamp
from clampbook.ledger import atomic
from clampbook.ledger.inside import read_file
from clampbook.ledger.refusals import LedgerFault

STATE = "_clampbook"  # engines pass over what begins with an underscore
_FORMAT = 1
_MOST = 500_000_000  # bytes


class Held(msgspec.Struct, frozen=True, omit_defaults=True):
    """A run or check of which the dataset has the rows: how its files were, the SHA-256 of its record, and whether it
    has its seal; or why there is no row of it."""

    stamp: Stamp
    sha256: str = ""
    sealed: bool = False
    left_out: str = ""


class Known(msgspec.Struct, frozen=True):
    """All that the dataset holds of one book, by year, of runs and of checks each by its name."""

    book: str
    runs: dict[str, dict[str, Held]] = {}
    checks: dict[str, dict[str, Held]] = {}
    format: int = _FORMAT


def read(dataset: Path, book: str) -> Known:
    """Read what is known of a book; nothing where no file is there that can be used: then all is written anew."""
    with contextlib.suppress(LedgerFault, msgspec.DecodeError):
        found = msgspec.json.decode(read_file(_path(dataset, book), _MOST), type=Known)
        if found.format == _FORMAT and found.book == book:
            return found
    return Known(book)


def write(dataset: Path, known: Known) -> None:
    """Say what the dataset holds by now. Raises LedgerFault."""
    atomic.write(_path(dataset, known.book), msgspec.json.encode(known), mode=0o644)


def _path(dataset: Path, book: str) -> Path:
    return dataset / STATE / f"{book}.json"
