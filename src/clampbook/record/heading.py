"""What stands first in a record: what it is of, how it ended, who was there, and the hashes that tie it down."""

from __future__ import annotations

from clampbook.people import Person
from clampbook.record.frozen import Frozen
from clampbook.record.moments import local
from clampbook.record.tables import Row
from clampbook.run.events import (
    Abandoned,
    Closed,
    Decided,
    HandedOver,
    Held,
    Inspected,
    Paused,
    Resumed,
    SignedOff,
)


def heading(run: Frozen, record: int, deviations: int, disagrees_at: int | None) -> Row:
    """The keys above all tables."""
    plan, opened = run.plan, run.opened
    return {
        "record": record,
        "title": plan.title,
        "revision": plan.revision,
        "procedure_status": plan.status,
        "procedure_released": _released(run),
        "source": plan.source,
        "trial": plan.trial,
        "run": opened.run,
        "book": opened.book,
        "unit": run.worked_on,
        "series": opened.series,
        "joint": plan.joint,
        "follow_up": plan.follow_up,
        "of_run": opened.of_run.run if opened.of_run else None,
        "opened_beside": list(opened.alongside) or None,
        "sheet_unit": plan.unit,
        "accept": "guarded" if plan.accept == "guarded" else None,
        "opened_at": local(opened),
        "closed_at": local(run.ended) if run.ended else None,
        "clock": "handed in from outside: these times prove nothing" if opened.clock == "handed in" else None,
        "outcome": outcome(run),
        "reason": run.ended.reason if run.ended else None,
        "disagrees_with_the_walk_at_line": disagrees_at,
        "deviations": deviations,
        "lines": len(run.events),
        "last_line_sha256": run.last_line_sha256,
        "procedure_sha256": run.procedure_sha256,
        "plan_sha256": run.plan_sha256,
        "log_head": opened.log_head,
        "program": opened.version,
    }


def outcome(run: Frozen) -> str:
    """How the run ended; one that has not is held where that was the last thing said, and else open."""
    if isinstance(run.ended, Closed):
        return run.ended.outcome
    if isinstance(run.ended, Abandoned):
        return "abandoned"
    last = next((event for event in reversed(run.events) if not isinstance(event, Paused)), run.opened)
    return "held" if isinstance(last, Held) else "open"


def _released(run: Frozen) -> str:
    plan = run.plan
    if plan.status == "released":
        return f"yes, {plan.released}" if plan.released else "yes"
    why = f" ({plan.not_released})" if plan.not_released else ""
    return f"no: the procedure is {'withdrawn' if plan.status == 'withdrawn' else 'a draft'}, not a released one{why}"


def people(run: Frozen) -> list[Row]:
    """Everybody who is named, in the order in which they first were; an id belongs to one person for ever."""
    found: dict[str, str] = {}
    for event in run.events:
        for person in _named(event):
            if person is not None:
                found.setdefault(person.id, person.name)
    return [{"id": id, "name": name} for id, name in found.items()]


def _named(event: object) -> tuple[Person | None, ...]:
    match event:
        case HandedOver(to=to, hands=hands):
            return (to, hands)
        case Resumed(person=person, hands=hands):
            return (person, hands)
        case Inspected(inspector=person) | Decided(person=person) | SignedOff(person=person):
            return (person,)
        case _:
            return (getattr(event, "person", None), getattr(event, "hands", None))
