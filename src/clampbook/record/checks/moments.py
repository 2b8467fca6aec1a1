"""The moment and the person of a line of a check, as the clock on the wall showed it."""

from __future__ import annotations

from datetime import datetime

from clampbook.ledger.event import LineBase
from clampbook.record.moments import shown
from clampbook.record.tables import Row
from clampbook.work.frozen import RecordFault


def local(event: LineBase) -> str:
    """The time of a line at the offset of its place; raises RecordFault where the line holds no time."""
    try:
        when, zone = datetime.fromisoformat(event.at), datetime.fromisoformat(f"2000-01-01T00:00:00{event.offset}")
        if when.tzinfo is None or zone.tzinfo is None:
            raise ValueError("no zone")
        return shown(when.astimezone(zone.tzinfo))
    except (ValueError, OverflowError) as error:
        raise RecordFault(f"daybook.jsonl, line {event.seq}: {event.at!r} and {event.offset!r} are no time.") from error


def written(event: LineBase) -> Row:
    """The keys that say it."""
    return {"at": local(event), "by": event.by}
