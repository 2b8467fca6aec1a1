"""The folder of one check: what was frozen before its first line, and the daybook of what was done."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from clampbook import run_folder
from clampbook.check import events, plan
from clampbook.check.plan import CheckPlan
from clampbook.ledger.formats import BEFORE
from clampbook.ledger.inside import inside, read_file
from clampbook.ledger.refusals import LedgerFault
from clampbook.run_folder import PLAN, RunFolder
from clampbook.work.daybook import first_of, frozen_plan

READINGS = "readings.csv"
MOST_OF_READINGS = 10_000_000  # bytes


class CheckFolder(RunFolder, frozen=True):
    """A check on disk, by its folder; the same shape as a run, with the readings of a file where it had one."""

    def readings(self) -> bytes | None:
        """The exact bytes of the file that its readings came from; None for a check at the bench."""
        path = inside(self.path, READINGS)
        return read_file(path, MOST_OF_READINGS) if path.exists() else None

    def opened(self) -> events.Opened | None:
        """Its first line; None where that cannot be read."""
        return first_of(self.first_line(), events.read, events.Opened)

    def frozen(self) -> CheckPlan:
        """The plan as it was frozen. Raises LedgerFault where it is not the one that its first line names."""
        if self.made_before:
            raise LedgerFault(f"{self.id} was {BEFORE}: use the version that wrote it")
        first = self.opened()
        held = "" if first is None else first.plan_sha256  # without a first line nothing says that it is
        return frozen_plan(self.path / PLAN, self.plan(), held, plan.decode, "check")


def folders(checks: Path) -> Iterator[CheckFolder]:
    """All checks in a folder by day and name; what has no check's name, and links, are left alone."""
    return (CheckFolder(found.path) for found in run_folder.folders(checks))
