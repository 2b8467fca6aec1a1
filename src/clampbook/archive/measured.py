"""The run chart of what a measure stage names, such as the end play of an engine: the values themselves over the years.

They have no target. All stand in the unit of the latest, beside the window that the latest was judged by.
"""

from __future__ import annotations

import sqlite3
import statistics
from collections.abc import Sequence
from decimal import Decimal
from typing import Any

from msgspec import Struct
from msgspec.structs import replace

from clampbook.archive.trend import (
    Wanted,
    conditions,
    containing,
    longest_on_one_side,
    middle_half,
    running_median,
    thirds,
)
from clampbook.units import UnitFault, convert, kind_of, number

_COLUMNS = "run.run, line, at, step, measured, tool, person, pull.outcome, shown, shown_unit, low, high"
_COUNTS = "standing = 'counts'"


class Value(Struct, frozen=True):
    """One measured value that counts: where it stands, when, with what and by whom, and the window that judged it."""

    run: str
    line: int
    at: str
    step: str
    what: str
    tool: str
    person: str
    outcome: str
    value: Decimal
    unit: str
    low: Decimal | None
    high: Decimal | None

    @property
    def is_judged(self) -> bool:
        """True where it had a window."""
        return self.low is not None or self.high is not None


class Measured(Struct, frozen=True, kw_only=True):
    """The result of the values, all in one unit; `first` and `last` are the medians of the first and last third."""

    values: tuple[Value, ...]
    running: tuple[Decimal, ...]
    median: Decimal
    middle_half: Decimal
    first: Decimal
    last: Decimal
    one_side: int

    @property
    def latest(self) -> Value:
        """The latest value: its unit is that of the chart, its window the band."""
        return self.values[-1]

    @property
    def ends(self) -> tuple[Decimal, ...]:
        """The ends of the window of the latest, those there are."""
        return tuple(end for end in (self.latest.low, self.latest.high) if end is not None)

    @property
    def whats(self) -> tuple[str, ...]:
        """The names of what was measured, as the procedures have them, the latest last."""
        return tuple(dict.fromkeys(value.what for value in reversed(self.values)))[::-1]


class OtherKind(Struct, frozen=True):
    """Two of the values that no chart can show both, such as a length and an angle: the other one and the latest."""

    other: Value
    latest: Value


def values(connection: sqlite3.Connection, wanted: Wanted, words: str) -> list[Value]:
    """The values that count of what has these words in its name, by time; where it is a whole name, of that alone."""
    wheres, given = conditions(connection, wanted)
    found = connection.execute(
        f"SELECT {_COLUMNS} FROM pull JOIN run USING (number)"
        f" WHERE measured <> '' AND measured LIKE ? ESCAPE '!' AND {_COUNTS} AND {wheres}"
        " ORDER BY time, number, pull.rowid",
        (containing(words), *given),
    )
    several = [value for row in found if (value := _value(*row)) is not None]
    return [value for value in several if value.what.casefold() == words.casefold()] or several


def names(connection: sqlite3.Connection) -> tuple[str, ...]:
    """All that was measured in the book, as its procedures name it, in the order of the alphabet."""
    found = connection.execute(f"SELECT DISTINCT measured FROM pull WHERE measured <> '' AND {_COUNTS}")
    return tuple(sorted((name for (name,) in found), key=str.casefold))


def measured(found: Sequence[Value]) -> Measured | OtherKind | None:
    """Sum up these values, by time; None where there is none."""
    if not found:
        return None
    latest = found[-1]
    other = next((value for value in found if kind_of(value.unit) != kind_of(latest.unit)), None)
    if other is not None:
        return OtherKind(other, latest)
    same = tuple(_in_unit(value, latest.unit) for value in found)
    numbers = [value.value for value in same]
    head, tail = thirds(numbers)
    return Measured(
        values=same,
        running=running_median(numbers),
        median=statistics.median(numbers),
        middle_half=middle_half(numbers),
        first=statistics.median(head),
        last=statistics.median(tail),
        one_side=longest_on_one_side(numbers, statistics.median(numbers)),
    )


def _value(*row: Any) -> Value | None:
    """A row of the index; None of one whose record holds no number or no unit that is known."""
    run, line, at, step, what, tool, person, outcome, shown, unit, low, high = row
    try:
        kind_of(unit)
        value, ends = number(shown), (_end(low), _end(high))
    except UnitFault:
        return None
    return Value(run, line, at, step, what, tool, person, outcome, value, unit, *ends)


def _end(told: str) -> Decimal | None:
    return number(told) if told else None


def _in_unit(value: Value, unit: str) -> Value:
    low, high = (None if end is None else convert(end, value.unit, unit) for end in (value.low, value.high))
    return replace(value, value=convert(value.value, value.unit, unit), unit=unit, low=low, high=high)
