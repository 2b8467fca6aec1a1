"""The words for what a record holds of a tool: its standard, its calibration, its checks, and why it is in question."""

from __future__ import annotations

from decimal import Decimal

from msgspec import UNSET, UnsetType, convert

from clampbook.record.pages.telling import Row, Telling
from clampbook.run.told.in_question import cause_words
from clampbook.tools.against import One, clause
from clampbook.tools.label import adapter_words
from clampbook.tools.model import Adapter
from clampbook.units import Quantity


def iso_6789(row: Row) -> str | None:
    """ "type II, class A"; None where nobody named them."""
    return f"type {row['iso_type']}, class {row['iso_class']}" if row.get("iso_type") and row.get("iso_class") else None


def calibration(row: Row) -> str:
    """ "in date, due 2026-09-30", "overdue since 2026-02-01"; "not known"."""
    if row.get("due_on"):
        return f"overdue since {row['due_on']}" if row["calibration"] == "overdue" else f"in date, due {row['due_on']}"
    known = row.get("calibrated_on")
    return f"calibrated on {known}, due date not known" if known else "not known"


def adapter_told(row: Row) -> str:
    """ "A1, 50 mm longer"; "A3 (open end, 19 mm), 62 mm longer, at 90°, length or angle measured at the bench"."""
    extension, offset = Quantity(Decimal(row["adds_to_lever"]), row["unit"]), Decimal(row.get("angle_degrees", 0))
    kinds = tuple(row["is"]) if row.get("is") else UNSET
    ratio, known = (Decimal(row[key]) if key in row else UNSET for key in ("ratio", "ratio_uncertainty_percent"))
    named = Adapter(
        id=row["id"],
        name=row["name"],
        extension=extension,
        offset=offset,
        kinds=kinds,
        ratio=ratio,
        ratio_uncertainty=known,
        max_torque=_borne(row, "max_torque"),
        max_torque_in=_borne(row, "max_torque_in"),
    )
    return (
        f"{adapter_words(named)}, length or angle measured at the bench"
        if row.get("measured_at_the_bench")
        else adapter_words(named)
    )


def _borne(row: Row, key: str) -> Quantity | UnsetType:
    return Quantity(Decimal(row[key]), row[f"{key}_unit"]) if key in row else UNSET


def last_check(row: Row) -> str:
    """ "passed, as left, on 2026-02-20"."""
    return f"{row['verdict']}, {row['phase']}, on {row['on']}"


def cause(row: Row) -> str:
    """Tell what calls it into question, of any row that holds the facts of that."""
    facts = (row.get(key) for key in ("reason", "on", "check", "off_percent"))
    return cause_words(row["why"], *facts, here=not row.get("heard"))


def against(row: Row) -> tuple[str, ...]:
    """Tell what a tool was used in spite of, in clauses."""
    return tuple(map(clause, convert(row.get("against", ()), tuple[One, ...])))


def questioned(telling: Telling, lines: tuple[int, ...]) -> str:
    """Tell what puts a reading in question: "W5: dropped at line 12"."""
    asked = [row for row in telling.rows("in_question") if row["line"] in lines]
    return "; ".join(f"{row['name']}: {_questioned(row)}" for row in asked)


def _questioned(row: Row) -> str:
    if row["why"] in ("zero wrong", "zero unknown"):
        return f"zero wrong at line {row['line']}"
    if row["why"] == "dropped" and not row.get("heard"):
        return f"dropped at line {row['line']}"
    return f"suspect at line {row['line']}, {cause(row)}"
