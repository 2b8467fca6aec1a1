"""The frozen files of a check as values, read only where they belong together and every line is in its place."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass

from clampbook.check import events
from clampbook.check import plan as plans
from clampbook.check.events import Abandoned, Closed, Event, Opened
from clampbook.check.from_file import by_place
from clampbook.check.judging import Judgement, judge
from clampbook.check.plan import PHASES, CheckPlan, Phase
from clampbook.check.progress import Progress, fold
from clampbook.check.prompts import judged
from clampbook.check.readings import Readings, read_readings
from clampbook.faults import Faulty
from clampbook.ledger.formats import plan_unlike
from clampbook.ledger.lines import UNREADABLE
from clampbook.work.daybook import MISFIT
from clampbook.work.frozen import RecordFault, whole


@dataclass(frozen=True, slots=True)
class FrozenCheck:
    """A check as its files tell it: plan, all events in order, its file of readings if it had one, and the hashes."""

    plan: CheckPlan
    events: tuple[Event, ...]
    opened: Opened
    ended: Closed | Abandoned | None
    progress: Progress
    readings: Readings | None
    plan_sha256: str
    last_line_sha256: str

    def judged(self, phase: Phase) -> Judgement | None:
        """Give the judgement of a phase; None where nothing was pulled in it."""
        if self.readings is not None:
            found = judge(self.plan, by_place(self.plan, self.readings)) if phase == self.plan.phase else None
        else:
            found = judged(self.plan, self.progress, phase)
        return found if found is not None and found.series else None

    @property
    def phases(self) -> tuple[tuple[Phase, Judgement], ...]:
        """Each phase in which anything was pulled."""
        both = ((phase, self.judged(phase)) for phase in PHASES)
        return tuple((phase, found) for phase, found in both if found is not None)


def read(plan: bytes, daybook: bytes, readings: bytes | None) -> FrozenCheck:
    """The check that these bytes are; raises RecordFault with one sentence where they are none."""
    kept = whole(daybook, events.read, Opened, "check")
    happened, opened = kept.events, kept.opened
    sha = hashlib.sha256(plan).hexdigest()
    if sha != opened.plan_sha256:
        raise RecordFault("plan.json is not the file that this check was opened with; put the frozen file back.")
    found = _plan(plan)
    return FrozenCheck(
        plan=found,
        events=happened,
        opened=opened,
        ended=next((event for event in reversed(happened) if isinstance(event, Closed | Abandoned)), None),
        progress=_progress(found, happened),
        readings=_readings(found, readings),
        plan_sha256=sha,
        last_line_sha256=kept.last_line_sha256,
    )


def _plan(data: bytes) -> CheckPlan:
    if (told := plan_unlike("plan.json", data)) is not None:
        raise RecordFault(f"{told}.")
    try:
        return plans.decode(data)
    except UNREADABLE as error:
        raise RecordFault(f"plan.json cannot be read as a plan of a check ({error}).") from error


def _progress(plan: CheckPlan, happened: tuple[Event, ...]) -> Progress:
    try:
        return fold(plan, happened)
    except MISFIT as error:
        raise RecordFault("daybook.jsonl tells of something that plan.json does not know: was it changed?") from error


def _readings(plan: CheckPlan, data: bytes | None) -> Readings | None:
    if plan.source == "bench":
        return None
    if data is None or hashlib.sha256(data).hexdigest() != plan.readings_sha256:
        raise RecordFault("readings.csv is not the file that this check was made from; put it back.")
    try:
        return read_readings(data, "readings.csv", plan.tool.unit)
    except Faulty as fault:
        raise RecordFault(f"readings.csv cannot be read any more: {fault}") from fault
