"""The writer of a check's record: beside its frozen files, whole or not at all."""

from __future__ import annotations

from pathlib import Path

from clampbook.check.folder import CheckFolder
from clampbook.ledger import atomic
from clampbook.ledger.inside import read_file
from clampbook.record.checks.record import build
from clampbook.run_folder import RECORD, SEAL

_MOST = 200_000_000  # bytes of a daybook


def record_of(check: CheckFolder) -> bytes:
    """record.toml of a check, made anew. Raises RecordFault, LedgerFault."""
    return build(check.plan(), read_file(check.daybook, _MOST), check.readings())


def write(check: CheckFolder) -> Path:
    """Put record.toml beside the frozen files of a check and return its path; a sealed one stays as it is.

    Raises RecordFault, LedgerFault.
    """
    path = check.path / RECORD
    if (check.path / SEAL).exists():
        return path
    atomic.write(path, record_of(check))
    return path
