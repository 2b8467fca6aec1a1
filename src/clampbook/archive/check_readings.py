"""Readings of checks as a flat table: one row a reading, also of those that count no more, every number as its record
has it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from clampbook.check.folder import CheckFolder
from clampbook.ledger.inside import read_file
from clampbook.record.checks.frozen import FrozenCheck, read
from clampbook.record.checks.pulls import COUNTS, readings
from clampbook.record.tables import Row
from clampbook.units import plain

HEAD = (
    "check", "tool", "tool_serial", "reference_tool", "reference_serial", "line", "row", "phase", "technique",
    "direction", "point", "point_unit", "typed", "typed_unit", "indicated", "indicated_unit", "reference",
    "reference_unit", "deviation_percent", "allowed_percent", "beyond", "far_from_others", "standing", "cause",
    "person", "time", "book",
)  # fmt: skip
NUMBERS = frozenset({"line", "row", "point", "typed", "indicated", "reference", "deviation_percent", "allowed_percent"})
_MOST = 200_000_000  # bytes of a daybook


def of_checks(checks: list[CheckFolder]) -> Iterator[tuple[object, ...]]:
    """The rows of these checks, by check and reading, as HEAD names them. Raises RecordFault, LedgerFault."""
    for check in checks:
        frozen = read(check.plan(), read_file(check.daybook, _MOST), check.readings())
        for row in readings(frozen):
            told = {**_same(frozen), **_of(frozen, row)}
            yield tuple(told.get(name) for name in HEAD)


def _same(check: FrozenCheck) -> dict[str, Any]:
    """The cells that every row of a check has."""
    tool, reference = check.plan.tool, check.plan.reference
    return {
        "check": check.opened.check,
        "tool": tool.name,
        "tool_serial": tool.serial,
        "reference_tool": None if reference is None else reference.name,
        "reference_serial": None if reference is None else reference.serial,
        "allowed_percent": plain(check.plan.permissible),
        "book": check.opened.book,
    }


def _of(check: FrozenCheck, row: Row) -> dict[str, Any]:
    """The cells of one reading; both sides are in the tool's unit, what was typed is in the unit it was typed in."""
    unit, read = check.plan.tool.unit, "indicated" in row
    counts = read and row["standing"] == COUNTS
    return {
        **row,
        "typed": row.get("typed", row.get("value")),
        **(dict.fromkeys(("point_unit", "indicated_unit", "reference_unit"), unit) if read else {}),
        "beyond": _yes(bool(row["beyond"])) if read else None,
        "far_from_others": _yes(bool(row.get("far_from_others"))) if counts else None,
        "person": row.get("by"),
        "time": row.get("at"),
    }


def _yes(said: bool) -> str:
    return "yes" if said else "no"
