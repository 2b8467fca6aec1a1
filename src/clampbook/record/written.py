"""The record's writer: reads the three frozen files of a run's folder and puts record.toml beside them."""

from __future__ import annotations

from pathlib import Path

from clampbook.ledger import atomic
from clampbook.ledger.refusals import refusal
from clampbook.record.record import build
from clampbook.run_folder import RECORD, SEAL

FROZEN = ("procedure.toml", "plan.json", "daybook.jsonl")


def write(folder: Path) -> Path:
    """Make record.toml of the run in `folder`, whole or not at all, and return its path; a sealed one stays as it is.

    Raises RecordFault where the files make no record, LedgerFault where the system refuses to read or write.
    """
    path = folder / RECORD
    if (folder / SEAL).exists():
        return path
    procedure, plan, daybook = (_bytes(folder / name) for name in FROZEN)
    atomic.write(path, build(procedure, plan, daybook))
    return path


def _bytes(path: Path) -> bytes:
    try:
        return path.read_bytes()
    except OSError as error:
        raise refusal(path, error, "be read") from error
