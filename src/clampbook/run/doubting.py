"""Tools that a check found off, and what that means for a run: which of its lines carry a question mark."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from msgspec import Struct

from clampbook.ledger.stamp import Stamp
from clampbook.run import events as e


class Suspect(Struct, frozen=True, kw_only=True):
    """A tool that a check found off: `good_until` (UTC) is when it last passed one, None where it never did.

    `withdrawn` is False where it was put right since, and passed.
    """

    tool: str
    check: str
    why: str
    good_until: str | None = None
    withdrawn: bool = True


USED = (e.ReadingTaken, e.Released, e.Confirmed, e.Turned, e.RanDown, e.Measured, e.Rechecked)


def suspected(events: Sequence[e.Event], suspects: Iterable[Suspect]) -> tuple[tuple[Suspect, int], ...]:
    """The suspects that this run used since they were last good, each with the first line that did; those that the
    daybook tells of already are left out."""
    told = {event.check for event in events if isinstance(event, e.ToolDoubted)}
    found = []
    for suspect in suspects:
        since = None if suspect.check in told else first_use(events, suspect.tool, suspect.good_until)
        if since is not None:
            found.append((suspect, since))
    return tuple(found)


def doubted(suspect: Suspect, since: int, stamp: Stamp) -> e.ToolDoubted:
    """The line that a run keeps of it."""
    return e.ToolDoubted(
        at=stamp.text,
        offset=stamp.offset,
        by=stamp.by,
        done_by=stamp.done_by if stamp.done_by != stamp.by else None,
        tool=suspect.tool,
        why=suspect.why,
        since=since,
        check=suspect.check,
        withdrawn=suspect.withdrawn,
    )


def first_use(events: Iterable[e.Event], tool: str, after: str | None) -> int | None:
    """The first line after a time (UTC, as the daybook holds it) that was done with a tool; None where none was.

    A tool that is in hand counts, though nothing was pulled with it yet.
    """
    for event in events:
        if after is not None and event.at <= after:
            continue
        if isinstance(event, e.ToolTaken):
            if event.tool.id == tool:
                return event.seq
        elif isinstance(event, USED) and event.tool == tool:
            return event.seq
    return None
