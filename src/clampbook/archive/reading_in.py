"""The record of a run as it lies on the disk, read for the index: what it says, or why it cannot be read."""

from __future__ import annotations

import tomllib
from hashlib import sha256
from typing import Any

import msgspec
from msgspec import Struct

from clampbook.archive.entering import entry, unreadable
from clampbook.archive.entry import Entry
from clampbook.archive.foreign import text
from clampbook.archive.pulls import NOTHING_SAID, OfPlan, has_measured
from clampbook.archive.shelf import Lying
from clampbook.ledger.inside import inside, read_file
from clampbook.ledger.refusals import LedgerFault
from clampbook.run.plan import numbers_told
from clampbook.run_folder import DAYBOOK, RECORD, RunFolder
from clampbook.work.frozen import RecordFault

_MOST_OF_A_RECORD = 50_000_000  # bytes
_MOST_OF_A_DAYBOOK = 500_000_000


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


def read(one: Lying, known: bytes | None = None) -> tuple[Entry | None, bytes]:
    """Read what the record says, and its SHA-256; no entry where it is the one that is known. It never raises."""
    run = one.run
    try:
        data = record_of(one)
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


def record_of(one: Lying) -> bytes:
    """record.toml as it lies there, without following a link; or as it is made of the other files."""
    if one.recorded:
        path = one.run.path / RECORD
        if path.is_symlink():
            raise LedgerFault(f"{RECORD} is a link, and links are not followed here")
        return read_file(path, _MOST_OF_A_RECORD)
    from clampbook.record.record import build

    daybook = read_file(inside(one.run.path, DAYBOOK), _MOST_OF_A_DAYBOOK)
    return build(one.run.procedure(), one.run.plan(), daybook)
