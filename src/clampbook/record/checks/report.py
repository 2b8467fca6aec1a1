"""The printed report of a check: one PDF/A-3 file that carries its record and its frozen files with it."""

from __future__ import annotations

import tomllib
from pathlib import Path

from clampbook.check.folder import READINGS, CheckFolder
from clampbook.ledger import atomic
from clampbook.ledger.inside import read_file
from clampbook.ledger.refusals import LedgerFault
from clampbook.record.checks.pages import pages
from clampbook.record.checks.written import record_of
from clampbook.record.report import REPORT, Paper, sealed_under, typeset
from clampbook.run_folder import DAYBOOK, PLAN, RECORD
from clampbook.signing.seal_text import LogHead
from clampbook.work.frozen import RecordFault


def of_check(
    check: CheckFolder, paper: Paper = "a4", log: LogHead | None = None, *, signed: bool | None = None
) -> bytes:
    """The report of a check as PDF; record.toml is made anew and not read. Raises RecordFault, LedgerFault.

    `log` is where the book's log stood before the seal, `signed` whether that is signed; of a check that is sealed,
    as its seal says.
    """
    if log is None:
        log, signed = sealed_under(check.path)
    record = record_of(check)
    attached = {RECORD: record, PLAN: check.plan(), DAYBOOK: read_file(check.daybook, 200_000_000)}
    file = check.readings()
    if file is not None:
        attached[READINGS] = file
    told = tomllib.loads(record.decode())
    return typeset(pages(told, attached, log, signed), attached, paper)


def write(check: CheckFolder, paper: Paper = "a4", log: LogHead | None = None, *, signed: bool | None = None) -> Path:
    """Put report.pdf beside the record of a check, whole or not at all, and return its path."""
    path = check.path / REPORT
    atomic.write(path, of_check(check, paper, log, signed=signed))
    return path


def print_beside(check: CheckFolder, paper: Paper = "a4") -> str:
    """Write the report and say where it is, or why there is none; never in the way of a check's end."""
    try:
        return f"Report: {write(check, paper)}"
    except (RecordFault, LedgerFault) as fault:
        return f"No report: {fault.sentence.removesuffix('.')}. The record is saved."
