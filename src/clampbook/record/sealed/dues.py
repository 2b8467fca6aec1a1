"""Which signatures a run announces, in the order of its lines, and the text of each."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime

from msgspec import Struct

from clampbook.people import Person
from clampbook.record.frozen import Frozen
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


def dues(events: Iterable[Event]) -> tuple[Due, ...]:
    """All of them, numbered from 1: the signature of number 2 is the one of the second line that announces one."""
    found: list[Due] = []
    for event in events:
        due = _due(len(found) + 1, event)
        if due is not None:
            found.append(due)
    return tuple(found)


def _due(number: int, event: Event) -> Due | None:
    match event:
        case Inspected(inspector=Person() as person, key=str(key), meaning=str(meaning)):
            return Due(
                number=number,
                line=event.seq,
                person=person,
                role="inspector at a hold point",
                meaning=meaning,
                key=key,
                step=event.step,
                reason=event.reason,
                at_once=True,
            )
        case Decided(person=Person() as person, key=str(key), meaning=str(meaning)):
            return Due(
                number=number,
                line=event.seq,
                person=person,
                role="second person",
                meaning=meaning,
                key=key,
                step=event.step,
                reason=event.reason,
                at_once=True,
            )
        case SignedOff(person=person, key=str(key)):
            return Due(
                number=number,
                line=event.seq,
                person=person,
                role=event.role,
                meaning=event.meaning,
                key=key,
                reason=event.reason,
            )
        case _:
            return None


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
            facts=None if due.at_once else facts,
        )
    )
