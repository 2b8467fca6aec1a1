"""Follow-ups that the records of a book announce and nobody has done: what, after which run, by when."""

from __future__ import annotations

import sqlite3
from collections import defaultdict
from collections.abc import Iterator

from msgspec import Struct

from clampbook.archive.entry import BETWEEN
from clampbook.run.use import DueByUse, Meter, due_by_use

# A follow-up that was abandoned, or closed as damaged, is still to be done.
_WAITING = """
SELECT run.run, run.number, run.title, run.equipment, run.joint, run.day, run.people,
       later.title, later.due_at, later.or_use
FROM later JOIN run ON run.number = later.number
WHERE NOT EXISTS (
    SELECT 1 FROM run AS after
    WHERE after.follows <> '' AND after.follows = run.run AND after.follow_up = later.title
    AND after.outcome IN ('done', 'accepted', 'not accepted')
)
ORDER BY run.run, later.rowid
"""
_METERS = """
SELECT meter.number, meter.name, meter.value, meter.unit
FROM meter JOIN (SELECT DISTINCT number FROM later WHERE or_use <> '') AS used ON used.number = meter.number
ORDER BY meter.rowid
"""


class FollowUp(Struct, frozen=True, kw_only=True):
    """Work that is due after a run and was not done: what the run was, on what, who did it and when it ended.

    Due on a day, after so much use since, or by whichever comes first; `by_use` where it was written down then what
    the meter showed.
    """

    run: str
    title: str
    of: str
    equipment: str = ""
    joint: str = ""
    person: str = ""
    done: str = ""
    due_at: str = ""
    or_use: str = ""
    by_use: DueByUse | None = None

    @property
    def named(self) -> tuple[str, str]:
        """Its run and its title, which nothing else has."""
        return self.run, self.title


def waiting(connection: sqlite3.Connection) -> tuple[FollowUp, ...]:
    """All follow-ups that no run has done, by run."""
    meters: defaultdict[int, list[Meter]] = defaultdict(list)
    for number, *meter in connection.execute(_METERS):
        meters[number].append(Meter(*meter))
    return tuple(_follow_ups(connection, meters))


def _follow_ups(connection: sqlite3.Connection, meters: dict[int, list[Meter]]) -> Iterator[FollowUp]:
    for run, number, of, equipment, joint, day, people, title, due_at, or_use in connection.execute(_WAITING):
        yield FollowUp(
            run=run,
            title=title,
            of=of or run,
            equipment=equipment,
            joint=joint,
            person=people.split(BETWEEN)[0],
            done=day,
            due_at=due_at,
            or_use=or_use,
            by_use=due_by_use(meters.get(number, ()), or_use) if or_use else None,
        )
