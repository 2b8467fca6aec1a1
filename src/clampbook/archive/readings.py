"""Readings of the archive as a flat table: one row a reading, every number exactly as its record has it."""

from __future__ import annotations

import csv
import sqlite3
from collections.abc import Iterator, Sequence
from io import StringIO

from clampbook.archive.finding import Query, chosen
from clampbook.text import printable

HEAD = (
    "run", "title", "revision", "worked_on", "line", "step", "stage", "group", "position", "fastener", "kind",
    "value", "unit", "at_fastener", "at_fastener_unit", "target", "window_from", "window_to", "deviation_percent",
    "outcome", "standing", "set_to", "set_to_unit", "tool", "adapter", "person", "time", "tool_serial", "book",
    "measured", "typed_at", "stage_number", "round", "on_form_until",
)  # fmt: skip
NUMBERS = frozenset(
    {"line", "value", "at_fastener", "target", "window_from", "window_to", "deviation_percent", "set_to"}
    | {"stage_number", "round"}
)
_STAGE = HEAD.index("stage")
_COLUMNS = """
    run.run, run.title, run.revision, run.equipment, line, step, stage, groupname, position, fastener, kind, value,
    pull.unit, shown, shown_unit, target, low, high, deviation, pull.outcome, standing, set_to, set_to_unit, tool,
    adapter, person, at, serial, run.book, measured, typed, until
"""
_READS_AS_A_FORMULA = ("=", "+", "-", "@", "\t", "\r")
_RUNS_AT_ONCE = 500


def readings(
    connection: sqlite3.Connection, query: Query, runs: Sequence[str] | None = None, *, clicks: bool = False
) -> Iterator[tuple[object, ...]]:
    """The rows of the runs named, or of all that answer the query, by run and line, as HEAD names them.

    With `clicks` also pulls that gave no number: their value is empty, and they have a setting instead.
    """
    with_number = "" if clicks else " AND shown <> ''"
    for where, values in _wheres(query, runs):
        table = f"SELECT {_COLUMNS} FROM pull JOIN run USING (number) WHERE {where}{with_number}"
        for row in connection.execute(f"{table} ORDER BY run.run, pull.rowid", values):
            *before, until = row
            yield *before, *_apart(row[_STAGE]), until


def _apart(stage: str) -> tuple[str, str]:
    """Give stage and round of `4.2`, as the record has them, each for itself."""
    number, _, round = stage.rpartition(".")
    return number, round


def _wheres(query: Query, runs: Sequence[str] | None) -> Iterator[tuple[str, tuple[str, ...]]]:
    if runs is None:
        sql, values = chosen(query)
        yield f"run.number IN ({sql})", values
        return
    for begin in range(0, len(runs), _RUNS_AT_ONCE):
        some = runs[begin : begin + _RUNS_AT_ONCE]
        yield f"run.run IN ({', '.join('?' * len(some))})", tuple(some)


def as_csv(
    rows: Iterator[tuple[object, ...]], head: Sequence[str] = HEAD, numbers: frozenset[str] = NUMBERS
) -> Iterator[str]:
    """Lines of CSV (RFC 4180) under one line of names.

    Numbers have a decimal point. A text that a spreadsheet would take for a formula gets an apostrophe in front, and
    signs that do not show are written out.
    """
    yield _line(head)
    for row in rows:
        yield _line(tuple(_cell(name in numbers, value) for name, value in zip(head, row, strict=True)))


def as_objects(
    rows: Iterator[tuple[object, ...]], head: Sequence[str] = HEAD, numbers: frozenset[str] = NUMBERS
) -> Iterator[dict[str, str | float | None]]:
    """The same rows for JSON, each by the names of its columns; nothing where a cell is empty."""
    for row in rows:
        yield {name: _value(name in numbers, value) for name, value in zip(head, row, strict=True)}


def _value(is_number: bool, value: object) -> str | float | None:
    if value is None or value == "":
        return None
    if isinstance(value, float):
        return round(value, 4)
    told = str(value)
    if not is_number or not _is_number(told):
        return told
    return int(told) if told.removeprefix("-").isdecimal() else float(told)


def _line(cells: Sequence[str]) -> str:
    out = StringIO()
    csv.writer(out).writerow(cells)
    return out.getvalue()


def _cell(is_number: bool, value: object) -> str:
    if value is None:
        return ""
    if isinstance(value, float):
        return f"{value:.4f}"
    told = printable(str(value))
    if is_number and _is_number(told):
        return told
    return f"'{told}" if told.startswith(_READS_AS_A_FORMULA) else told


def _is_number(told: str) -> bool:
    return told.removeprefix("-").replace(".", "", 1).isdecimal()
