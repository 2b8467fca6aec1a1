"""The folders of runs as they lie on the disk: which are there, whether one changed, and what its record says."""

from __future__ import annotations

import os
import stat
import tomllib
from collections.abc import Iterable, Iterator
from hashlib import sha256
from pathlib import Path
from typing import Any

import msgspec
from msgspec import Struct

from clampbook.archive.entry import Entry, entry, unreadable
from clampbook.archive.foreign import text
from clampbook.archive.pulls import NOTHING_SAID, OfPlan, has_measured
from clampbook.ledger.inside import inside, read_file
from clampbook.ledger.refusals import LedgerFault
from clampbook.run.plan import numbers_told
from clampbook.run_folder import DAYBOOK, RECORD, SEAL, RunFolder, names

RUNS = "runs"
_MOST_OF_A_RECORD = 50_000_000  # bytes
_MOST_OF_A_DAYBOOK = 500_000_000
Stamp = tuple[int, int, int, int]  # of the folder when it was modified; of the record its size, modified, changed


class _Stage(Struct, frozen=True):
    """As much of a stage of a plan as says what it measures."""

    number: int
    do: str
    what: Any = None
    tensions: Any = None


class _Joint(Struct, frozen=True):
    stages: tuple[int, ...]


class _Several(Struct, frozen=True):
    joints: tuple[_Joint, ...]


class _Plan(Struct, frozen=True):
    stages: tuple[_Stage, ...]
    several: _Several | None = None


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


def read(one: Lying, known: bytes | None = None) -> tuple[Entry | None, bytes]:
    """Read what the record says, and its SHA-256; no entry where it is the one that is known. It never raises."""
    from clampbook.work.frozen import RecordFault

    run = one.run
    try:
        data = _bytes(one)
    except (LedgerFault, RecordFault) as fault:
        return unreadable(run.id, fault.sentence), b""
    digest = sha256(data).digest()
    if digest == known:
        return None, digest
    try:
        record = tomllib.loads(data.decode())
        return entry(
            run.id, record, _of_plan(run) if "joints" in record or has_measured(record) else NOTHING_SAID
        ), digest
    except (ValueError, RecursionError) as error:
        why = "too deeply nested" if isinstance(error, RecursionError) else str(error)
        return unreadable(run.id, f"{RECORD} cannot be read: {why}"), digest


def _of_plan(run: RunFolder) -> OfPlan:
    """Read of the frozen plan what it says of the stages: the record has only their numbers."""
    try:
        plan = msgspec.json.decode(run.plan(), type=_Plan)
    except (LedgerFault, msgspec.DecodeError, RecursionError):
        return NOTHING_SAID
    joints = () if plan.several is None else plan.several.joints
    numbered = numbers_told([stage.number for stage in plan.stages], [joint.stages for joint in joints])
    tensioned = tuple(stage.number for stage in plan.stages if stage.tensions is True)
    return OfPlan(
        {stage.number: text(stage.what) for stage in plan.stages if stage.do == "measure"}, numbered, tensioned
    )


def _bytes(one: Lying) -> bytes:
    """record.toml as it lies there, without following a link; or as it is made of the other files."""
    if one.recorded:
        path = one.run.path / RECORD
        if path.is_symlink():
            raise LedgerFault(f"{RECORD} is a link, and links are not followed here")
        return read_file(path, _MOST_OF_A_RECORD)
    from clampbook.record.record import build

    daybook = read_file(inside(one.run.path, DAYBOOK), _MOST_OF_A_DAYBOOK)
    return build(one.run.procedure(), one.run.plan(), daybook)
