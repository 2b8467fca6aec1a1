"""The folders of runs as they lie on the disk: which are there, and whether one changed."""

from __future__ import annotations

import os
import stat
from collections.abc import Iterable, Iterator
from pathlib import Path

from msgspec import Struct

from clampbook.ledger.inside import inside
from clampbook.run_folder import DAYBOOK, RECORD, SEAL, RunFolder, names

RUNS = "runs"
Stamp = tuple[int, int, int, int]  # of the folder when it was modified; of the record its size, modified, changed


class Lying(Struct, frozen=True):
    """A run on the disk. `recorded`: it has a record.toml; else it is over, and its record is made anew to be read."""

    run: RunFolder
    stamp: Stamp
    recorded: bool = True

    @property
    def sealed(self) -> bool:
        """True where it is sealed by now."""
        return (self.run.path / SEAL).exists()


def lying_names(root: Path) -> list[str]:
    """The names of all runs of the book in this folder, whether over or not. Raises LedgerFault."""
    return names(inside(root, RUNS))


def lying(root: Path, those: Iterable[str]) -> Iterator[Lying]:
    """Those runs of the book in this folder that are over; links are left alone. Raises LedgerFault."""
    folder = inside(root, RUNS)
    for name in those:
        one = lying_one(RunFolder(folder / name))
        if one is not None:
            yield one


def lying_one(run: RunFolder) -> Lying | None:
    """One run as it lies there; None where it is not over yet, or gone."""
    path = f"{run.path}{os.sep}"
    try:
        folder = os.lstat(run.path)
        record = os.lstat(path + RECORD)
    except OSError:
        return _not_recorded(run, path)
    return Lying(run, (folder.st_mtime_ns, record.st_size, record.st_mtime_ns, record.st_ctime_ns))


def _not_recorded(run: RunFolder, path: str) -> Lying | None:
    try:
        folder, daybook = os.lstat(run.path), os.lstat(path + DAYBOOK)
    except OSError:
        return None
    if not stat.S_ISREG(daybook.st_mode) or run.state not in ("closed", "abandoned"):
        return None
    return Lying(run, (folder.st_mtime_ns, daybook.st_size, daybook.st_mtime_ns, daybook.st_ctime_ns), recorded=False)
