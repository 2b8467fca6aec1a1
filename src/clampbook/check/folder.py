"""The folder of one check: what was frozen before its first line, and the daybook of what was done."""

from __future__ import annotations

from collections.abc import Iterator
from hashlib import sha256
from pathlib import Path

from clampbook import run_folder
from clampbook.check import events, plan
from clampbook.check.plan import CheckPlan
from clampbook.ledger.formats import BEFORE, unlike
from clampbook.ledger.inside import inside, read_file
from clampbook.ledger.lines import UNREADABLE
from clampbook.ledger.refusals import LedgerFault, shown
from clampbook.run_folder import PLAN, RunFolder

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
        line = self.first_line()
        try:
            event = events.read(line) if line is not None else None
        except UNREADABLE:
            return None
        return event if isinstance(event, events.Opened) else None

    def frozen(self) -> CheckPlan:
        """The plan as it was frozen. Raises LedgerFault where it is not the one that its first line names."""
        if self.made_before:
            raise LedgerFault(f"{self.id} was {BEFORE}: use the version that wrote it")
        data, path, first = self.plan(), self.path / PLAN, self.opened()
        if first is None or sha256(data).hexdigest() != first.plan_sha256:
            told = "is not the plan that this check was opened with: put back the file as it was"
            raise LedgerFault(f"{shown(path)} {told}")
        try:
            found = plan.decode(data)
        except UNREADABLE as error:
            raise LedgerFault(f"{shown(path)} is no plan that can be read: {error}") from error
        if (other := unlike(shown(path), found.plan)) is not None:
            raise LedgerFault(other)
        return found


def folders(checks: Path) -> Iterator[CheckFolder]:
    """All checks in a folder by day and name; what has no check's name, and links, are left alone."""
    return (CheckFolder(found.path) for found in run_folder.folders(checks))
