"""The signatures that a run announces, in the order of its lines, and the text of each."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import datetime
from typing import assert_never

from msgspec import Struct

from clampbook.people import Person
from clampbook.record.frozen import Frozen
from clampbook.record.sealed.stated import stated
from clampbook.run import events as e
from clampbook.run.events import Decided, Event, Inspected, SignedOff
from clampbook.signing.statement import Statement, text


class Due(Struct, frozen=True, kw_only=True):
    """A signature that a line announces with the fingerprint of a key; `at_once` where the run goes on after it."""

    number: int
    line: int
    person: Person
    role: str
    meaning: str
    key: str
    step: str | None = None
    reason: str | None = None
    at_once: bool = False


class SealDue(Struct, frozen=True):
    """The signer of the seal, with the fingerprint of the key. What is signed is not read before: it names only
    sums."""

    person: Person
    key: str

    @property
    def meaning(self) -> str:
        """The meaning of the signature."""
        return "the seal"

    def told(self, name: str, what: str = "run") -> str:
        """Tell what the signature does, to be read before the passphrase is typed."""
        return (
            f"Clampbook, seal of a {what}\n\nI seal every file of {name}, its printed report with them.\n\n"
            f"Name:           {self.person.name} ({self.person.id})\nWith key:       {self.key}\n"
        )


def closers(of: Sequence[Due]) -> tuple[Due, ...]:
    """Those who signed at the end, with a key: one of them signs the seal."""
    return tuple(each for each in of if not each.at_once)


def last_by(events: Sequence[Event]) -> Person | None:
    """Give the person who wrote the last line, by name; None where the lines name nobody of that id."""
    last = events[-1].by
    named = (_named(event) for event in reversed(events))
    return next((person for people in named for person in people if person.id == last), None)


def _named(event: Event) -> Iterator[Person]:
    for name in ("person", "to", "done_by_person", "inspector", "initials"):
        person = getattr(event, name, None)
        if isinstance(person, Person):
            yield person


def dues(events: Iterable[Event]) -> tuple[Due, ...]:
    """All of them, numbered from 1: the signature of number 2 is the one of the second line that announces one."""
    found: list[Due] = []
    for event in events:
        due = _due(len(found) + 1, event)
        if due is not None:
            found.append(due)
    return tuple(found)


def _due(number: int, event: Event) -> Due | None:
    if isinstance(event, Inspected):
        return _at_once(number, event, event.inspector, "inspector at a hold point")
    if isinstance(event, e.OfTheWork | e.ToldAlone):
        return None
    match event:
        case Decided():
            return _at_once(number, event, event.person, "second person")
        case SignedOff():
            if event.key is None:
                return None
            return Due(
                number=number,
                line=event.seq,
                person=event.person,
                role=event.role,
                meaning=event.meaning,
                key=event.key,
                reason=event.reason,
            )
        case (
            e.Opened() | e.Asked() | e.PartRecorded() | e.ToolTaken() | e.ToolZeroed() | e.ToolDropped()
            | e.ToolSuspected() | e.Voided() | e.Corrected() | e.Skipped() | e.Broken() | e.Paused() | e.Resumed()
            | e.SampleDrawn() | e.StepState() | e.HandedOver() | e.Held() | e.ProcedureWithdrawn()
            | e.LeftBlank() | e.PaperTime()
        ):  # fmt: skip
            return None
        case _ as never:
            assert_never(never)


def _at_once(number: int, event: Inspected | Decided, person: Person | None, role: str) -> Due | None:
    """Give what somebody who looked, or decided, signs in the same act; None where they typed their name."""
    if person is None or event.key is None or event.meaning is None:
        return None
    return Due(
        number=number,
        line=event.seq,
        person=person,
        role=role,
        meaning=event.meaning,
        key=event.key,
        step=event.step,
        reason=event.reason,
        at_once=True,
    )


def to_sign(run: Frozen, hashes: tuple[str, ...], due: Due, at: datetime, facts: str | None) -> bytes:
    """The text of a signature given at this time. `hashes` are those of the run's lines; `facts` is the SHA-256 of
    facts.sha256, which only a signature at the end holds."""
    lines = due.line if due.at_once else len(hashes)
    opened, plan = run.opened, run.plan
    later = f"{plan.follow_up} of {opened.of_run.run}" if opened.of_run is not None else None
    parts = (plan.title, f"revision {plan.revision}", plan.joint, run.worked_on, later)
    title = ", ".join(part for part in parts if part)
    return text(
        Statement(
            number=due.number,
            person=due.person.id,
            name=due.person.name,
            role=due.role,
            meaning=due.meaning,
            key=due.key,
            at=at,
            title=title,
            run=opened.run,
            book=opened.book,
            line=due.line,
            lines=lines,
            head=hashes[lines - 1],
            step=due.step,
            reason=due.reason,
            stated=stated(run, due.line, at_the_end=not due.at_once),
            facts=None if due.at_once else facts,
        )
    )
