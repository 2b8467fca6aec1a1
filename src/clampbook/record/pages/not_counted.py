"""Work that was done at a stage and does not count any more, with the line of the daybook for whoever looks it up."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from decimal import Decimal

from clampbook.record import standing as in_words
from clampbook.record.pages.blocks import Block, Heading, Table
from clampbook.record.pages.chart import place, value_of
from clampbook.record.pages.marks import outcome
from clampbook.record.pages.telling import Row, Telling, as_typed, listed, number, quantity

_COUNTS = "counts"


def not_counted(telling: Telling, rows: Sequence[Row]) -> Iterator[Block]:
    """Pulls that were made and do not count any more, and lines that made them so.

    Those without a number that differ in nothing but place and time share a row, as the clicks of an earlier round do.
    """
    if not rows:
        return
    alike: dict[tuple[str, ...], list[Row]] = {}
    for row in rows:
        alone = str(row["line"]) if value_of(row) is not None or "unmoved_up_to" in row else ""
        key = (outcome(row), _showed(row), telling.hand(row), _why(telling, row), telling.by(row), alone)
        alike.setdefault(key, []).append(row)
    measured = all(row["kind"] == "measurement" for row in rows)
    yield Heading(f"{'Measured' if measured else 'Done'} here, no longer counted", level=3)
    yield Table(
        head=("Pos.", "Outcome", "Showed", "Tool", "Why not counted", "Time", "By", "Line"),
        widths=(0, 0, 0, 0, 1, 0, 0, 0),
        rows=tuple(_row(telling, *each) for each in alike.items()),
        points=(7,) if all(len(each) == 1 for each in alike.values()) else (),
        quiet=(7,),
    )


def _row(telling: Telling, key: tuple[str, ...], rows: Sequence[Row]) -> tuple[str, ...]:
    *told, why, by, _ = key
    when = telling.span(rows)
    return listed(map(place, rows)), *told, why, when, by, listed(str(row["line"]) for row in rows)


def _showed(row: Row) -> str:
    value = value_of(row) or row.get("value_seen") or row.get("unmoved_up_to")
    if value is not None:
        unit = row.get("judged_unit") or row.get("unmoved_unit")
        low, high = row.get("window_from"), row.get("window_to")
        if row.get("value") and row.get("unit") == unit and Decimal(row["value"]) == Decimal(value):
            return quantity(as_typed(row["value"], low, high), unit)
        shown = quantity(number(value, low, high), unit)
        typed = row.get("unit") not in (None, unit)
        return f"{shown} ({quantity(number(row['value']), row['unit'])})" if typed and row.get("value") else shown
    if "set_to" in row:
        return f"set to {quantity(row['set_to'], row['set_to_unit'])}"
    return ""


def _why(telling: Telling, row: Row) -> str:
    words = [str(row["cause"])] if "cause" in row else []
    standing = in_words.told(row["standing"], pumped_up=row["outcome"] == "under" and telling.pumped_up(row))
    words += [standing] if standing not in (_COUNTS, *words) else []
    words += [f"voids line {row['voids']}"] if row.get("voids") else []
    words += [f"corrects line {row['corrects']}, {_known(row['known'])}"] if row.get("known") else []
    return ", ".join(words)


def _known(how: str) -> str:
    """ "known from memory", "known because the tool still shows it"."""
    return f"known {how}" if how.startswith("from ") else f"known because {how}"
