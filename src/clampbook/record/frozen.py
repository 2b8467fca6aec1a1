"""The three frozen files of a run as values, read only where they belong together and every line is in its place."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass

from clampbook.ledger.formats import plan_unlike
from clampbook.ledger.lines import UNREADABLE
from clampbook.run import events
from clampbook.run.events import Abandoned, Asked, Closed, Corrected, Event, Opened
from clampbook.run.fold.taking_back import as_they_stand, taken_back
from clampbook.run.plan import Plan, Step, decode
from clampbook.run.questions.items import names_the_thing
from clampbook.work.frozen import RecordFault, whole


@dataclass(frozen=True, slots=True)
class Frozen:
    """A run as its files tell it: the plan, all events in order (line n is `events[n - 1]`), and the hashes."""

    plan: Plan
    events: tuple[Event, ...]
    opened: Opened
    ended: Closed | Abandoned | None
    procedure_sha256: str
    plan_sha256: str
    last_line_sha256: str
    typed_wrong: tuple[Event, ...] = ()  # lines that were taken back; in `events` only their places are left

    def tells(self, rules: int) -> bool:
        """True where this run was begun by these rules or later ones, so that its record has what is told since."""
        return (self.opened.rules or 1) >= rules

    @property
    def worked_on(self) -> str | None:
        """The thing worked on: as it was named when the run was opened, or as it was answered last when asked for."""
        found = self.opened.equipment
        for event in self.events:
            if isinstance(event, Asked | Corrected) and event.typed is not None:
                found = event.typed if names_the_thing(self.plan, event.item) else found
        return found

    def step(self, event: Event, name: str) -> Step:
        """The plan's step of this name; raises RecordFault where the plan has none."""
        return self.plan.steps[self.place(event, name)]

    def place(self, event: Event, name: str) -> int:
        """The same as a place in `plan.steps`, from 0."""
        place = self.plan.index_of.get(name)
        if place is None:
            raise RecordFault(
                f"daybook.jsonl, line {event.seq}: the plan has no step {name!r}; is plan.json of this run?"
            )
        return place


def read(procedure: bytes, plan: bytes, daybook: bytes) -> Frozen:
    """The run that these bytes are; raises RecordFault with one sentence where they are none."""
    found = whole(daybook, events.read, Opened, "run")
    opened = found.opened
    procedure_sha256, plan_sha256 = (hashlib.sha256(data).hexdigest() for data in (procedure, plan))
    _same("procedure.toml", procedure_sha256, opened.procedure_sha256)
    _same("plan.json", plan_sha256, opened.plan_sha256)
    wrong = taken_back(found.events)
    return Frozen(
        plan=_plan(plan),
        events=as_they_stand(found.events),
        opened=opened,
        ended=next((event for event in reversed(found.events) if isinstance(event, Closed | Abandoned)), None),
        procedure_sha256=procedure_sha256,
        plan_sha256=plan_sha256,
        last_line_sha256=found.last_line_sha256,
        typed_wrong=tuple(event for event in found.events if event.seq in wrong),
    )


def _plan(data: bytes) -> Plan:
    """The plan; a newer format is told apart from a damaged file."""
    if (told := plan_unlike("plan.json", data)) is not None:
        raise RecordFault(f"{told}.")
    try:
        plan = decode(data)
    except UNREADABLE as error:
        raise RecordFault(f"plan.json cannot be read as a plan ({error}).") from error
    for step in plan.steps:
        if not 1 <= step.stage <= len(plan.stages):
            raise RecordFault(f"plan.json, step {step.id!r}: there is no stage {step.stage}; was the file changed?")
    return plan


def _same(name: str, found: str, held: str) -> None:
    if found != held:
        raise RecordFault(
            f"{name} is not the file that this run was opened with: its SHA-256 is {found}, "
            f"line 1 of the daybook has {held}; put the frozen file back."
        )
