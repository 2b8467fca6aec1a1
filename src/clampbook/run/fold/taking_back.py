"""Answers from a paper form that were typed wrong: what is kept to take them back, and the lines without them."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec.structs import replace
from rpds import List

from clampbook.run import events as e
from clampbook.run.fold.independence import MEANINGS
from clampbook.run.plan import Plan
from clampbook.run.progress import Progress

_NOTHING: List[Progress] = List()
# What was said of the run, told to the book or put into the folder stays; nothing before it is taken back.
_STAYS = e.Opened | e.Resumed | e.Paused | e.Held | e.HandedOver | e.ScanAdded | e.ToolDropped | e.ToolSuspected


def remembering(plan: Plan, progress: Progress, event: e.Event) -> Progress:
    """The state before a line, with what leads back to it where it is an answer from a form."""
    if not plan.late:
        return progress
    if _stays(event):
        return replace(progress, past=_NOTHING)
    return replace(progress, past=progress.past.push_front(replace(progress, past=_NOTHING)))


def _stays(event: e.Event) -> bool:
    if isinstance(event, e.SignedOff):
        return event.meaning not in MEANINGS  # of whoever typed, not of a name on the form
    return isinstance(event, _STAYS) or (isinstance(event, e.ToolTaken) and event.same is not None)


def as_they_stand(events: Sequence[e.Event]) -> tuple[e.Event, ...]:
    """All lines in their places; of one that was taken back only its place is left, and of the line that says so."""
    gone = taken_back(events)
    if not gone:
        return tuple(events)
    gone |= {event.seq for event in events if isinstance(event, e.TakenBack)}
    found: list[e.Event] = []
    for event in events:
        found.append(_place_of(event, found[-1]) if event.seq in gone else event)
    return tuple(found)


def taken_back(events: Sequence[e.Event]) -> set[int]:
    """The lines that were typed wrong from a form, and taken back."""
    return {event.of for event in events if isinstance(event, e.TakenBack) and event.of < event.seq}


def _place_of(event: e.Event, before: e.Event) -> e.TakenBack:
    return e.TakenBack(
        seq=event.seq,
        prev=event.prev,
        at=before.at,
        offset=before.offset,
        by=event.by,
        typed_at=event.typed_at,
        of=event.seq,
    )
