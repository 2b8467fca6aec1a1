"""What a run was frozen with before anything was done in it: its first line and its plan."""

from __future__ import annotations

from hashlib import sha256

from clampbook.ledger.formats import BEFORE, unlike
from clampbook.ledger.lines import UNREADABLE
from clampbook.ledger.refusals import LedgerFault, shown
from clampbook.run import plan as plans
from clampbook.run.events import Opened, read
from clampbook.run.plan import Plan
from clampbook.run_folder import PLAN, RunFolder


def plan_frozen(run: RunFolder) -> Plan:
    """The plan of a run as it was frozen. Raises LedgerFault where it is not the one that its first line names."""
    if run.made_before:
        raise LedgerFault(f"{run.id} was {BEFORE}: use the version that wrote it")
    data, path = run.plan(), run.path / PLAN
    first = first_event(run)
    if first is not None and sha256(data).hexdigest() != first.plan_sha256:
        raise LedgerFault(f"{shown(path)} is not the plan that this run was opened with: put back the file as it was")
    try:
        plan = plans.decode(data)
    except UNREADABLE as error:
        raise LedgerFault(f"{shown(path)} is no plan that can be read: {error}") from error
    if (told := unlike(shown(path), plan.plan)) is not None:
        raise LedgerFault(told)
    return plan


def first_event(run: RunFolder) -> Opened | None:
    """The first line of a run; None where it cannot be read."""
    line = run.first_line()
    try:
        event = read(line) if line is not None else None
    except UNREADABLE:
        return None
    return event if isinstance(event, Opened) else None
