"""Compact tables: many short rows, as many beside each other as the page is wide, read downwards in blocks."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from unicodedata import combining

from clampbook.figures import Ends
from clampbook.record.pages.blocks import Block, Readings, Sentences, Table
from clampbook.record.pages.chart import place, value_of
from clampbook.record.pages.marks import COLOURED, outcome
from clampbook.record.pages.signs import drawn
from clampbook.record.pages.telling import Row, Telling, number, quantity, signed
from clampbook.text import started

PAGE = 112  # characters of the small type between the margins
_GAP = 2  # characters between two columns
_BETWEEN = 3  # more, between two panels
_MOST_PANELS = 4
Line = tuple[str, str, str]
_TYPED = 8  # signs; more come out of a machine, and are shown as any other number
_BLOCK = 24  # rows that are read downwards before the eye goes back to the left


@dataclass(frozen=True, slots=True)
class Column:
    """A column of a compact table: its head and what stands in it for a row; numbers stand flush right."""

    head: str
    cell: Callable[[Row], str]
    right: bool = False


def of_readings(telling: Telling, rows: Sequence[Row], planned: Ends | None) -> list[Block]:
    """The table of pulls that show a number; `planned` is the window that the heading has."""
    unit = rows[0].get("judged_unit") or ""
    columns = [_place(rows), Column("Outcome", outcome), Column(unit, _judged, right=True)]
    columns += _windows(rows, planned) + _as_read(telling, rows) + _alike(telling, rows)
    return [*_said_once(telling, rows), panels(rows, columns)]


def of_releases(telling: Telling, rows: Sequence[Row]) -> list[Block]:
    """The table of releases: what the tool was set to, and never a reading."""
    sheet_unit = rows[0]["sheet_unit"]
    same = {(row["set_to"], row["set_to_unit"], row["set_to_at_fastener"]) for row in rows}
    columns = [_place(rows), Column("Outcome", outcome)]
    if len(same) > 1:
        columns.append(Column("Set to", lambda row: quantity(number(row["set_to"]), row["set_to_unit"]), right=True))
        columns.append(Column(f"{sheet_unit} there", lambda row: number(row["set_to_at_fastener"]), right=True))
    columns += _alike(telling, rows)
    return [*_said_once(telling, rows, _setting(rows[0]) if len(same) == 1 else None), panels(rows, columns)]


def of_work(telling: Telling, rows: Sequence[Row]) -> list[Block]:
    """The table of what has neither number nor setting: loosening, turns from mark to mark, rechecks by feel."""
    columns = [_place(rows), Column("Outcome", outcome)]
    if any(row.get("lot") for row in rows):
        columns.append(Column("Lot", lambda row: row.get("lot") or ""))
    columns += _alike(telling, rows)
    return [*_said_once(telling, rows), panels(rows, columns)]


def _setting(row: Row) -> str:
    """ "set to 22.1 lbf·ft, which is 29.96 N·m at the fastener"."""
    there = number(row["set_to_at_fastener"])
    same = row["set_to_unit"] == row["sheet_unit"] and Decimal(row["set_to"]) == Decimal(row["set_to_at_fastener"])
    told = f"set to {quantity(number(row['set_to']), row['set_to_unit'])}"
    return told if same else f"{told}, which is {quantity(there, row['sheet_unit'])} at the fastener"


def _place(rows: Sequence[Row]) -> Column:
    return Column("Pos." if all(row.get("position") is not None for row in rows) else "Point", place)


def _judged(row: Row) -> str:
    value = value_of(row)
    if value is None:
        return ""
    return _typed(row) if _read_as_judged(row) else number(value, row.get("window_from"), row.get("window_to"))


def _typed(row: Row) -> str:
    """Give what a person read and typed as it was typed, such as a length of 120.14 mm."""
    value = row.get("value") or ""
    return signed(value) if len(value) <= _TYPED else number(value, row.get("window_from"), row.get("window_to"))


def _windows(rows: Sequence[Row], planned: Ends | None) -> list[Column]:
    """The window that judged, where not all have that of the heading: prevailing torque moves it, a guard narrows it.

    Without one in the heading (None) it stands where not all have the same.
    """
    found = {tuple(None if end is None else Decimal(end) for end in _ends(row)) for row in rows}
    if len(found) == 1 and (planned is None or found <= {planned, (None, None)}):
        return []
    return [Column("Window", lambda row: f"{_ends(row)[0] or ''}–{_ends(row)[1] or ''}", right=True)]


def _ends(row: Row) -> tuple[str | None, str | None]:
    return row.get("window_from"), row.get("window_to")


def _as_read(telling: Telling, rows: Sequence[Row]) -> list[Column]:
    """Give what the tool showed, where that is another number than what is judged; the strokes of a turn."""
    strokes = {row["line"]: text for row in rows if (text := telling.strokes.get(row["line"]))}
    if strokes:
        return [Column("strokes", lambda row: strokes.get(row["line"], ""), right=True)]
    if all(_read_as_judged(row) for row in rows):
        return []
    units = {row.get("unit") for row in rows}
    if len(units) == 1:
        unit = units.pop() or ""
        return [Column(f"read, {unit}", _typed, right=True)]
    return [Column("as read", lambda row: quantity(_typed(row), row.get("unit")), right=True)]


def _read_as_judged(row: Row) -> bool:
    value, judged = row.get("value"), value_of(row)
    same = value is None or judged is None or Decimal(value) == Decimal(judged)
    return same and row.get("unit") == row.get("judged_unit")


def _alike(telling: Telling, rows: Sequence[Row]) -> list[Column]:
    """Give the columns for when; and for by whom and with which tool, where those are not the same for all."""
    found = []
    if any("pass" in row for row in rows):
        found.append(Column("Pass", lambda row: str(row.get("pass", "")), right=True))
    one_day = telling.same_day(rows)
    found.append(Column("Time", telling.time if one_day else telling.at))
    if len({telling.hand(row) for row in rows}) > 1:
        found.append(Column("Tool", telling.hand))
    if len({telling.by(row) for row in rows}) > 1:
        found.append(Column("By", telling.by))
    return found


def _said_once(telling: Telling, rows: Sequence[Row], more: str | None = None) -> Iterator[Block]:
    """A sentence for what is the same in all rows, and one for each doubt about a tool."""
    hands, people = {telling.hand(row) for row in rows}, {telling.by(row) for row in rows}
    hand = hands.pop() if len(hands) == 1 else ""
    said = [f"with {hand}"] if hand else []
    said += [more] if more else []
    said += [f"by {people.pop()}"] if len(people) == 1 else []
    said += [f"on {day}"] if (day := telling.same_day(rows)) and len(telling.days) > 1 else []
    if said:
        yield Sentences(
            (f"All {', '.join(said)}." if len(rows) > 1 else f"{started(', '.join(said))}.",),
            quiet=True,
            sticky=True,
        )
    doubts = dict.fromkeys(doubt for row in rows if (doubt := row.get("question")))
    if doubts:
        yield Sentences(tuple(f"? {telling.question(doubt)}" for doubt in doubts), quiet=True, sticky=True)


def panels(rows: Sequence[Row], columns: Sequence[Column]) -> Readings | Table:
    """The rows laid out beside each other, block by block; a plain table where one of them fills more than a line."""
    head = [drawn(column.head) for column in columns]
    cells = [[drawn(column.cell(row)) for column in columns] for row in rows]
    widths = [max(map(wide, each)) for each in zip(head, *cells, strict=True)]
    full = sum(widths) + _GAP * (len(widths) - 1)
    if full > PAGE:
        last = len(columns) - 1
        return Table(tuple(head), tuple(int(i == last) for i in range(len(head))), tuple(map(tuple, cells)))
    lines = [_line(each, columns, widths) for each in cells]
    beside = max(1, min(_MOST_PANELS, (PAGE + _BETWEEN) // (full + _BETWEEN), len(lines)))
    beside = -(-len(lines) // -(-len(lines) // beside))  # none of them empty
    return Readings("".join(_line(head, columns, widths)), tuple(_laid(lines, beside)), _BLOCK)


def _laid(lines: Sequence[str | Line], beside: int) -> Iterator[tuple[str | Line, ...]]:
    for begin in range(0, len(lines), _BLOCK * beside):
        block = lines[begin : begin + _BLOCK * beside]
        high = -(-len(block) // beside)
        for row in range(high):
            yield tuple(block[at] if (at := row + high * panel) < len(block) else "" for panel in range(beside))


def _line(cells: Sequence[str], columns: Sequence[Column], widths: Sequence[int]) -> str | Line:
    """One row as one line; in three pieces where its mark has a colour."""
    padded = []
    for cell, column, width in zip(cells, columns, widths, strict=True):
        room = " " * (width - wide(cell))
        padded.append(f"{room}{cell}" if column.right else f"{cell}{room}")
    gap = " " * _GAP
    mark = cells[1][:1]
    if mark not in COLOURED:
        return gap.join(padded).rstrip()
    return padded[0] + gap, mark, (padded[1][1:] + gap + gap.join(padded[2:])).rstrip()


def wide(text: str) -> int:
    """Count the signs that a text is wide when drawn; what stands above or below another sign takes no room."""
    return len(text) if text.isascii() else sum(not combining(sign) for sign in text)
