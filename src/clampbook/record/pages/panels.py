"""Compact tables: many short rows, as many beside each other as the page is wide, read downwards in blocks."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence, Set
from dataclasses import dataclass
from decimal import Decimal

from clampbook.figures import Ends
from clampbook.record.pages.blocks import Plain, Readings, Sentences
from clampbook.record.pages.chart import place, value_of
from clampbook.record.pages.laid import side_by_side
from clampbook.record.pages.marks import outcome
from clampbook.record.pages.signs import drawn
from clampbook.record.pages.telling import Row, Telling, as_typed, listed, number, quantity, signed
from clampbook.record.pages.tools import questioned
from clampbook.run.fold.acts import AT_THE_SLOT
from clampbook.text import started

_MOST_LINES = 4  # sentences; what differs more than that stands in a table


@dataclass(frozen=True, slots=True)
class Column:
    """A column of a compact table: its head and what stands in it for a row; of numbers the points stand in line."""

    head: str
    cell: Callable[[Row], str]
    right: bool = False


def of_readings(telling: Telling, rows: Sequence[Row], planned: Ends | None) -> list[Plain]:
    """The table of pulls that show a number; `planned` is the window that the heading has."""
    unit, rows = rows[0].get("judged_unit") or "", telling.when_made(rows)
    columns = [_place(rows), Column("Outcome", outcome), Column(unit, _judged, right=True)]
    columns += _windows(rows, planned) + _as_read(telling, rows) + _alike(telling, rows)
    if any("corrects" in row for row in rows):
        columns.append(Column("Corrected", lambda row: f"line {row['line']}" if "corrects" in row else ""))
    return [*_said_once(telling, rows), panels(rows, columns)]


def of_clicks(telling: Telling, rows: Sequence[Row]) -> list[Plain]:
    """Tell of clicks: what the tool was set to, and never a reading; a line for all that were alike."""
    return _in_lines(telling, rows, _setting, " No reading.") or _released_one_by_one(telling, rows)


def _released_one_by_one(telling: Telling, rows: Sequence[Row]) -> list[Plain]:
    sheet_unit = rows[0]["sheet_unit"]
    columns = [
        _place(rows),
        Column("Outcome", outcome),
        Column("Set to", lambda row: quantity(number(row["set_to"]), row["set_to_unit"]), right=True),
        Column(f"{sheet_unit} at fastener", lambda row: number(row["set_to_at_fastener"]), right=True),
        *_alike(telling, rows),
    ]
    return [*_said_once(telling, rows), panels(rows, columns)]


def of_work(telling: Telling, rows: Sequence[Row]) -> list[Plain]:
    """Tell of what has neither number nor setting: loosening, turns by the mark, rechecks by feel."""
    unmoved = any(row.get("unmoved_up_to") for row in rows)  # each with a number of its own
    read = _read_at_the_end(telling)
    told = [] if unmoved else _in_lines(telling, rows, lambda row: _more(row, read))
    if told:
        return told
    columns = [_place(rows), Column("Outcome", outcome)]
    if any(row.get("lot") for row in rows):
        columns.append(Column("Lot", lambda row: row.get("lot") or ""))
    if unmoved:
        columns.append(Column("Not moved up to", _unmoved, right=True))
    columns += _alike(telling, rows)
    return [*_said_once(telling, rows), panels(rows, columns)]


def _more(row: Row, read: Set[tuple[str, int]]) -> str:
    """The lot of what was put on; of a nut that was turned on to its slot whether its torque was read there."""
    if row["outcome"] == AT_THE_SLOT:
        return "torque read" if (row["step"], row["attempt"]) in read else "no reading"
    return f"lot {row['lot']}" if row.get("lot") else ""


def _read_at_the_end(telling: Telling) -> Set[tuple[str, int]]:
    """The steps and attempts in which the torque at the end of a turn was read."""
    rows = (row for row in telling.rows("reading") if row["kind"] == "final torque" and row["standing"] == "counts")
    return {(row["step"], row["attempt"]) for row in rows}


def _in_lines(telling: Telling, rows: Sequence[Row], more: Callable[[Row], str], end: str = "") -> list[Plain]:
    """One line for all rows that differ in nothing but place and time; none where that would be too many."""
    alike: dict[tuple[str, ...], list[Row]] = {}
    for row in rows:
        turn = f"round {row['pass']}" if "pass" in row else ""
        with_ = f"with {hand}" if (hand := telling.hand(row)) else ""
        key = (outcome(row), turn, more(row), with_, f"by {telling.by(row)}")
        alike.setdefault(key, []).append(row)
    if len(alike) > _MOST_LINES or any(len(_with_own_time(telling, each)) > _MOST_LINES for each in alike.values()):
        return []
    lines = [_line(telling, *each) + end for each in alike.items()]
    return [Sentences(tuple(lines)), *_in_question(telling, rows)]


def _line(telling: Telling, key: tuple[str, ...], rows: Sequence[Row]) -> str:
    """ "○ released: 1–10, set to 22.1 lbf·ft, with W2, by Ines, 09:05:00 to 09:11:00"."""
    what, *rest = key
    one_day = telling.same_day(rows)
    own = _with_own_time(telling, rows)
    others = [row for row in rows if row not in own]
    when = [telling.span(others, one_day=one_day is not None)]
    when += [f"{place(row)} at {telling.span([row], one_day=one_day is not None)}" for row in own]
    day = f" on {one_day}" if one_day and len(telling.days) > 1 else ""
    return ", ".join([f"{what}: {_places(rows)}", *filter(None, rest), *when]) + f"{day}."


def _with_own_time(telling: Telling, rows: Sequence[Row]) -> list[Row]:
    """The rows of a form that have a time beside them, where others have that of their round alone."""
    own = [row for row in rows if "time_on_form" in row] if telling.from_paper else []
    return own if len(own) < len(rows) else []


def _places(rows: Sequence[Row]) -> str:
    """ "1–4"; with how often, where the same was done several times and adds up: "1 (5 times), 2"."""
    times = Counter(map(place, rows))
    places = _in_order(times)
    if len(places) == len(rows):
        return listed(places)
    return ", ".join(each if times[each] == 1 else f"{each} ({times[each]} times)" for each in places)


def _setting(row: Row) -> str:
    """ "set to 22.1 lbf·ft (29.96 N·m at the fastener)"."""
    there = number(row["set_to_at_fastener"])
    same = row["set_to_unit"] == row["sheet_unit"] and Decimal(row["set_to"]) == Decimal(row["set_to_at_fastener"])
    told = f"set to {quantity(number(row['set_to']), row['set_to_unit'])}"
    return told if same else f"{told} ({quantity(there, row['sheet_unit'])} at the fastener)"


def _unmoved(row: Row) -> str:
    """ "34 lbf·ft (46.1 N·m at the fastener)": the torque at first movement is not known."""
    there = row.get("unmoved_up_to")
    if there is None:
        return ""
    told = quantity(_typed(row), row["unit"])
    if row["unit"] == row["unmoved_unit"] and Decimal(row["value"]) == Decimal(there):
        return told
    shown = number(there, row.get("window_from"), row.get("window_to"))
    return f"{told} ({quantity(shown, row['unmoved_unit'])} at the fastener)"


def _place(rows: Sequence[Row]) -> Column:
    return Column("Pos." if all(row.get("position") is not None for row in rows) else "Point", place)


def _judged(row: Row) -> str:
    value = value_of(row)
    if value is None:
        return ""
    return _typed(row) if _read_as_judged(row) else number(value, row.get("window_from"), row.get("window_to"))


def _typed(row: Row) -> str:
    """Give what a person read and typed as it was typed, such as a length of 120.14 mm."""
    return as_typed(row.get("value") or "", row.get("window_from"), row.get("window_to"))


def _windows(rows: Sequence[Row], planned: Ends | None) -> list[Column]:
    """The window that judged, where not all have that of the heading: prevailing torque moves it, a guard narrows it.

    Without one in the heading (None) it stands where not all have the same.
    """
    found = {tuple(None if end is None else Decimal(end) for end in _ends(row)) for row in rows}
    if len(found) == 1 and (planned is None or found <= {planned, (None, None)}):
        return []
    return [Column("Window", _window, right=True)]


def _window(row: Row) -> str:
    """ "28.0–32.0"; an end below zero keeps the word, as two dashes side by side cannot be read."""
    low, high = (end or "" for end in _ends(row))
    return signed(f"{low} to {high}") if "-" in low + high else f"{low}–{high}"


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
        found.append(Column("Round", lambda row: str(row.get("pass", "")), right=True))
    one_day = telling.same_day(rows)
    found.append(Column("Time", telling.made_on_one_day if one_day else telling.made))
    if len({telling.hand(row) for row in rows}) > 1:
        found.append(Column("Tool", telling.hand))
    if len({telling.by(row) for row in rows}) > 1:
        found.append(Column("By", telling.by))
    return found


def _said_once(telling: Telling, rows: Sequence[Row]) -> Iterator[Plain]:
    """A sentence for what is the same in all rows, and one for each suspicion of a tool."""
    hands, people = {telling.hand(row) for row in rows}, {telling.by(row) for row in rows}
    hand = hands.pop() if len(hands) == 1 else ""
    said = [f"with {hand}"] if hand else []
    said += [f"by {people.pop()}"] if len(people) == 1 else []
    said += [f"on {day}"] if (day := telling.same_day(rows)) and len(telling.days) > 1 else []
    if said:
        yield Sentences(
            (f"All {', '.join(said)}." if len(rows) > 1 else f"{started(', '.join(said))}.",),
            quiet=True,
            sticky=True,
        )
    yield from _in_question(telling, rows)


def _in_order(places: Iterable[str]) -> list[str]:
    """By number, where all are numbers; in which order they were pulled is said by the plan."""
    found = list(places)
    return sorted(found, key=int) if all(map(str.isdecimal, found)) else found


def _in_question(telling: Telling, rows: Sequence[Row]) -> Iterator[Plain]:
    asked = dict.fromkeys(tuple(lines) for row in rows if (lines := row.get("in_question_at_lines")))
    if asked:
        yield Sentences(tuple(f"? {questioned(telling, lines)}" for lines in asked), quiet=True, sticky=True)


def panels(rows: Sequence[Row], columns: Sequence[Column]) -> Readings:
    """The rows laid out beside each other, block by block."""
    head = tuple(drawn(column.head) for column in columns)
    lines = [tuple(drawn(column.cell(row)) for column in columns) for row in rows]
    return side_by_side(head, lines, tuple(at for at, column in enumerate(columns) if column.right))
