"""The frozen beginning of a run, before anything was done in it: its first line and its plan."""

from __future__ import annotations

from clampbook.ledger.formats import BEFORE
from clampbook.ledger.refusals import LedgerFault
from clampbook.run import plan as plans
from clampbook.run.events import Opened, read
from clampbook.run.plan import Plan
from clampbook.run_folder import PLAN, RunFolder
from clampbook.work.daybook import first_of, frozen_plan


def plan_frozen(run: RunFolder) -> Plan:
    """The plan of a run as it was frozen. Raises LedgerFault where it is not the one that its first line names."""
    if run.made_before:
        raise LedgerFault(f"{run.id} was {BEFORE}: use the version that wrote it")
    first = first_event(run)
    return frozen_plan(run.path / PLAN, run.plan(), None if first is None else first.plan_sha256, plans.decode, "run")


def first_event(run: RunFolder) -> Opened | None:
    """The first line of a run; None where it cannot be read."""
    return first_of(run.first_line(), read, Opened)
