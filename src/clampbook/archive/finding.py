"""Searching the index: words as they are typed, and filters, each as the beginning of what stands there."""

from __future__ import annotations

import sqlite3
from collections.abc import Sequence
from typing import Any

from msgspec import Struct

from clampbook.archive.entry import BETWEEN
from clampbook.archive.tables import COLUMNS
from clampbook.record.left_open import LeftOpen

MOST = 100
_MOST_WORDS = 40
_FILTERS = {"equipment": "equipment", "procedure": "procedure", "person": "people", "tool": "tools", "lot": "lots"}


_MATCHING = "SELECT rowid FROM words WHERE words MATCH ?"
_ADDED_TO = f"SELECT of_run FROM run WHERE of_run <> '' AND number IN ({_MATCHING})"
# An addendum is no run of its own, unless the run that it belongs to is not here.
_ITS_OWN = "(run.of_run = '' OR run.of_run NOT IN (SELECT run FROM run))"


class Query(Struct, frozen=True, kw_only=True):
    """The conditions of a search: all of them must hold. Days are inclusive, in ISO 8601."""

    words: tuple[str, ...] = ()
    equipment: str = ""
    procedure: str = ""
    person: str = ""
    tool: str = ""
    lot: str = ""
    outcome: str = ""
    since: str = ""
    until: str = ""


class Hit(Struct, frozen=True):
    """A run that was found; people, tools, lots and follow-ups in the order of its record."""

    run: str
    title: str
    revision: str
    equipment: str
    joint: str
    day: str
    outcome: str
    deviations: int
    late: int
    unknown: int
    undecided: int
    unsigned: str
    people: str
    tools: str
    lots: str
    due: str
    sealed: int
    fault: str
    addenda: tuple[str, ...] = ()

    @property
    def known_deviations(self) -> int | None:
        """The number of deviations; None of a damaged run, of which nobody knows."""
        return None if self.outcome == "damaged" else self.deviations

    @property
    def left(self) -> LeftOpen:
        """The things that its paper form left open."""
        return LeftOpen(self.unknown, self.undecided, tuple(self.unsigned.split(BETWEEN)) if self.unsigned else ())

    @property
    def state(self) -> str:
        """The state on the disk, in words."""
        if self.fault:
            return "not readable"
        if self.sealed:
            return "sealed"
        return "abandoned" if self.outcome == "abandoned" else "closed, not sealed"


class Hits(Struct, frozen=True):
    """The runs that were found, the latest first; `more`: there are others that are older."""

    runs: tuple[Hit, ...] = ()
    more: bool = False


def find(connection: sqlite3.Connection, query: Query, most: int = MOST) -> Hits:
    """The latest runs that answer a query, at most so many."""
    sql, values = statement(query)
    rows = connection.execute(sql, (*values, most + 1)).fetchall()
    return Hits(tuple(Hit(*(*row, _addenda(connection, row[0]))) for row in rows[:most]), len(rows) > most)


def _addenda(connection: sqlite3.Connection, run: str) -> tuple[str, ...]:
    found = connection.execute("SELECT run FROM run WHERE of_run = ? AND of_run <> '' ORDER BY run", (run,))
    return tuple(name for (name,) in found)


def statement(query: Query) -> tuple[str, tuple[str, ...]]:
    """The query as SQL and its values; the last one, how many, is left to be given."""
    wheres, values = _wheres(query)
    return (
        f"SELECT {COLUMNS} FROM run{_all_of((*wheres, _ITS_OWN))} ORDER BY run.ended DESC, run.run DESC LIMIT ?",
        values,
    )


def chosen(query: Query) -> tuple[str, tuple[str, ...]]:
    """The numbers of all runs that answer a query, as SQL with its values."""
    wheres, values = _wheres(query)
    return f"SELECT run.number FROM run{_all_of(wheres)}", values


def _all_of(wheres: Sequence[str]) -> str:
    return f" WHERE {' AND '.join(wheres)}" if wheres else ""


def _wheres(query: Query) -> tuple[list[str], tuple[str, ...]]:
    """Give the conditions on a run, as SQL with its values; one is found by the words of its addenda too."""
    wheres: list[str] = []
    values: list[str] = []
    looked_for = match(query)
    if looked_for:
        wheres.append(f"(run.number IN ({_MATCHING}) OR run.run IN ({_ADDED_TO}))")
        values += [looked_for, looked_for]
    for column, compared, value in (
        ("outcome", "=", query.outcome),
        ("day", ">=", query.since),
        ("day", "<=", query.until),
    ):
        if value:
            wheres.append(f"run.{column} {compared} ?")
            values.append(value)
    return wheres, tuple(values)


def match(query: Query) -> str:
    """Words and filters in the language of the index; nothing that was typed can mean anything else than itself."""
    asked = [_begins(word) for word in query.words[:_MOST_WORDS]]
    for name, column in _FILTERS.items():
        value = getattr(query, name)
        if _letters(value):
            asked.append(f"{{{column}}} : {_begins(value)}")
    return " AND ".join(each for each in asked if each)


def _begins(typed: str) -> str:
    """A phrase whose last word may go on; signs that are no letters or digits say nothing."""
    plain = typed.encode("utf-8", "replace").decode()
    return '"' + plain.replace('"', " ").replace("\0", " ") + '"*' if _letters(plain) else ""


def _letters(typed: str) -> bool:
    return any(sign.isalnum() for sign in typed)


def as_data(hit: Hit) -> dict[str, Any]:
    """A run that was found, for JSON."""
    lists = {name: getattr(hit, name).split(BETWEEN) if getattr(hit, name) else [] for name in _LISTS}
    plain = ("run", "title", "revision", "equipment", "joint", "day", "outcome")
    told = {name: getattr(hit, name) for name in plain} | {"deviations": hit.known_deviations}
    told |= {"from_paper": True} if hit.late else {}
    left = {
        "positions_not_known": hit.left.unknown,
        "outside_with_nothing_decided": hit.left.undecided,
        "not_signed_as": list(hit.left.unsigned),
    }
    told |= {name: value for name, value in left.items() if value}
    return {**told, "addenda": list(hit.addenda), "state": hit.state, **lists, "fault": hit.fault or None}


_LISTS = ("people", "tools", "lots", "due")
