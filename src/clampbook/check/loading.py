"""A check as its files tell it: the plan, how far it came, and what both phases amount to."""

from __future__ import annotations

from hashlib import sha256

from msgspec.structs import replace

from clampbook.check.checking import read_progress
from clampbook.check.folder import READINGS, CheckFolder
from clampbook.check.from_file import place_of_each
from clampbook.check.judging import Judgement
from clampbook.check.plan import PHASES, CheckPlan
from clampbook.check.progress import Progress, Pull, loaded
from clampbook.check.prompts import judged
from clampbook.check.readings import Readings, read_readings
from clampbook.faults import Faulty
from clampbook.ledger.refusals import LedgerFault, shown


def load(check: CheckFolder) -> tuple[CheckPlan, Progress]:
    """Plan and progress of a check, with the readings of its file where it had one. Raises LedgerFault."""
    plan = check.frozen()
    progress = read_progress(check.daybook, plan, check.lines()[0])
    if plan.source == "bench":
        return plan, progress
    data = check.readings()
    if data is None or sha256(data).hexdigest() != plan.readings_sha256:
        raise LedgerFault(f"{shown(check.path / READINGS)} is not the file that this check was made from: put it back")
    try:
        readings = read_readings(data, READINGS, plan.tool.unit)
    except Faulty as fault:
        raise LedgerFault(f"{shown(check.path / READINGS)} cannot be read any more: {fault}") from fault
    return plan, with_readings(plan, progress, readings)


def with_readings(plan: CheckPlan, progress: Progress, readings: Readings) -> Progress:
    """The progress of a check with the readings of its file as pulls, which belong to the line that read them in."""
    pulls: list[Pull] = []
    series = {each.technique: number for number, each in enumerate(plan.series)}
    for at, place in enumerate(place_of_each(plan, readings)):
        technique = series[readings.technique[at]]
        pulls.append(Pull(2, plan.phase, technique, place, readings.indicated[at], readings.reference[at]))
    read = replace(progress, pulls=tuple(pulls), phase=plan.phase, read_from_file=True)
    return loaded(read, len(pulls)) if pulls else read


def both(plan: CheckPlan, progress: Progress) -> tuple[Judgement | None, Judgement | None]:
    """Judge what was found, and what was left; None where nothing was pulled."""
    found, left = (judged(plan, progress, phase) for phase in PHASES)
    return found if found.series else None, left if left.series else None
