"""The run chart of a tool, a hand, a fastener or a stage: readings against their targets over time.

A run chart (ISO 7870-1) shows values in the order in which they came. What is charted is the deviation from the target
in percent, so that different torques can stand beside each other; clicks have no number and take no part.
"""

from __future__ import annotations

import sqlite3
import statistics
from collections.abc import Callable, Sequence
from datetime import UTC, datetime
from decimal import Decimal
from typing import TypeVar

from msgspec import Struct

from clampbook.archive.finding import Query, chosen
from clampbook.tools.identity import Identity

REACH = 9  # readings of which a running median is taken: the last one and those before it
IN_A_ROW = 9  # readings on one side of the median: by chance in 1 of 256 stretches of this length
_COLUMNS = "run.run, line, at, time, deviation, pull.outcome, seconds, tool, person"
_SAME = 1e-9  # percent, or of the unit: what lies so close to the median lies on it

Each = TypeVar("Each")
Number = TypeVar("Number", float, Decimal)


class Wanted(Struct, frozen=True, kw_only=True):
    """The readings that are wanted: all that is given must hold. A person by id; a stage is 2.1, or 2, or a
    kind of pull.
    """

    tool: Identity | None = None
    person: str = ""
    fastener: str = ""
    stage: str = ""
    runs: Query = Query()


class Point(Struct, frozen=True):
    """One reading: its run and line, when (ISO 8601 and seconds since 1970), and its deviation in percent."""

    run: str
    line: int
    at: str
    time: float | None
    deviation: float
    outcome: str
    seconds: float | None
    tool: str
    person: str


class Trend(Struct, frozen=True, kw_only=True):
    """The result of the readings. Medians in percent; `first` and `last` are those of the first and last third."""

    points: tuple[Point, ...]
    running: tuple[float, ...]
    median: float
    middle_half: float
    first: float
    last: float
    seconds: float | None
    first_seconds: float | None
    last_seconds: float | None
    one_side: int

    @property
    def moved(self) -> float:
        """The way that the median went between the first third and the last, in percent of the target."""
        return self.last - self.first


def points(connection: sqlite3.Connection, wanted: Wanted) -> list[Point]:
    """The readings with a target, by time."""
    wheres, values = conditions(connection, wanted)
    found = connection.execute(
        f"SELECT {_COLUMNS} FROM pull JOIN run USING (number)"
        f" WHERE deviation IS NOT NULL AND {wheres} ORDER BY time, number, pull.rowid",
        values,
    )
    return [Point(*row) for row in found]


def conditions(connection: sqlite3.Connection, wanted: Wanted) -> tuple[str, tuple[str, ...]]:
    """The conditions on a reading that is wanted, as SQL with its values."""
    sql, values = chosen(wanted.runs)
    wheres = [f"number IN ({sql})"]
    if wanted.person:
        wheres.append("pull.person = ?")
        values = (*values, wanted.person)
    if wanted.tool is not None:
        wheres.append("pull.tool = ? AND same_tool(run.book, pull.serial, pull.time)")
        values = (*values, wanted.tool.id)
        connection.create_function("same_tool", 3, _same(wanted.tool), deterministic=True)
    if wanted.fastener:
        wheres.append("(fastener LIKE ? ESCAPE '!' OR groupname LIKE ? ESCAPE '!')")
        values = (*values, *2 * (containing(wanted.fastener),))
    if wanted.stage:
        wheres.append("(told = ? OR told LIKE ? ESCAPE '!' OR kind = ?)")
        values = (*values, wanted.stage, f"{_plainly(wanted.stage)}.%", wanted.stage)
    return " AND ".join(wheres), values


def of_that_id(connection: sqlite3.Connection, id: str) -> tuple[tuple[str, str], ...]:
    """Every tool that was used under an id: the book of its run, and its serial number, "" where it had none."""
    named = "SELECT DISTINCT run.book, pull.serial FROM pull JOIN run USING (number) WHERE pull.tool = ?"
    return tuple(connection.execute(f"{named} ORDER BY 1, 2", (id,)).fetchall())


def trend(found: Sequence[Point]) -> Trend | None:
    """Sum up these readings, by time; None where there is none."""
    if not found:
        return None
    values = [point.deviation for point in found]
    head, tail = thirds(found)
    return Trend(
        points=tuple(found),
        running=running_median(values),
        median=statistics.median(values),
        middle_half=middle_half(values),
        first=statistics.median(point.deviation for point in head),
        last=statistics.median(point.deviation for point in tail),
        seconds=_pace(found),
        first_seconds=_pace(head),
        last_seconds=_pace(tail),
        one_side=longest_on_one_side(values, statistics.median(values)),
    )


def thirds(found: Sequence[Each]) -> tuple[Sequence[Each], Sequence[Each]]:
    """The first third of the readings and the last, at least one each."""
    third = max(len(found) // 3, 1)
    return found[:third], found[-third:]


def running_median(values: Sequence[Number], reach: int = REACH) -> tuple[Number, ...]:
    """For each value the median of it and those before it, at most so many."""
    return tuple(statistics.median(values[max(0, end - reach) : end]) for end in range(1, len(values) + 1))


def longest_on_one_side(values: Sequence[Number], middle: Number) -> int:
    """The longest stretch of values that lie all above the middle, or all below; what lies on it is passed over."""
    longest = current = side = 0
    for value in values:
        if abs(value - middle) <= _SAME:
            continue
        now = 1 if value > middle else -1
        current = current + 1 if now == side else 1
        side, longest = now, max(longest, current)
    return longest


def middle_half(values: Sequence[Number]) -> Number:
    """The width of the band that holds the middle half of the values."""
    if len(values) < 2:
        return values[0] - values[0]
    low, _, high = statistics.quantiles(values, n=4, method="inclusive")
    return high - low


def _pace(found: Sequence[Point]) -> float | None:
    seconds = [point.seconds for point in found if point.seconds is not None]
    return statistics.median(seconds) if seconds else None


def _same(tool: Identity) -> Callable[[str, str, float | None], bool]:
    def same(book: str, serial: str, time: float | None) -> bool:
        return tool.is_same(book or tool.own or "", serial or None, None if time is None else _in_utc(time))

    return same


def _in_utc(time: float) -> str:
    """A time as daybooks and logs hold it."""
    return datetime.fromtimestamp(time, UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")


def containing(typed: str) -> str:
    """A text that holds this one, for LIKE with ! before signs that stand for themselves."""
    return f"%{_plainly(typed)}%"


def _plainly(typed: str) -> str:
    """A text in which no sign stands for others."""
    return "".join(f"!{sign}" if sign in "!%_" else sign for sign in typed)
