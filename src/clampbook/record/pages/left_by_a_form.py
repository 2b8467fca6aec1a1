"""The things that a form left open: what is not known, what was outside and nothing decided, who did not sign."""

from __future__ import annotations

from collections.abc import Iterator

from clampbook.procedure.naming import within_a_sentence
from clampbook.record.left_open import LeftOpen
from clampbook.record.pages.telling import Row, Telling, day_and_time, listed
from clampbook.run.events import LeftAt
from clampbook.run.fold.acts import UNKNOWN
from clampbook.run.questions.on_paper import NOTHING_WRITTEN
from clampbook.text import started

_UNDECIDED: tuple[LeftAt, ...] = ("over", "under")
_UNFINISHED = ("started", UNKNOWN)  # states of a position where an outcome outside its window still stands
_OUTSIDE = frozenset({"over", "under", "spread"})


def left_open(record: Row) -> LeftOpen:
    """Count what a form left open; nothing of any other run."""
    if not record.get("from_paper"):
        return LeftOpen()
    undecided = sum(len(_with(record, word)) for word in _UNDECIDED) + len(_places(record))
    return LeftOpen(len(_unknown(record)), undecided, tuple(_unsigned(record)))


def positions_left(record: Row) -> dict[LeftAt, tuple[str, ...]]:
    """The positions that it left open, by how it left them."""
    if not record.get("from_paper"):
        return {}
    of_each: dict[LeftAt, list[Row]] = {"unknown": _unknown(record)}
    of_each |= {word: _with(record, word) for word in _UNDECIDED}
    return {how: tuple(str(row["position"]) for row in rows) for how, rows in of_each.items() if rows}


def typed_in(record: Row) -> str:
    """Tell of a form its last time, and when it was typed in; it was closed at the end of that."""
    typed = f"Typed in {day_and_time(record['typed_from'])} to {day_and_time(record['typed_to'])}"
    if "closed_at" not in record:
        return f"Not closed. {typed}."
    return f"Last time on the form {day_and_time(record['closed_at'])}. {typed}, then closed."


def notices(telling: Telling) -> Iterator[str]:
    """The same by name, for page one."""
    record = telling.record
    if not record.get("from_paper"):
        return
    if unknown := _unknown(record):
        yield f"Not known: {_named(telling, unknown)}."
    for word in _UNDECIDED:
        if found := _with(record, word):
            yield f"{started(word)}, nothing decided on the form: {_named(telling, found)}."
    if places := _places(record):
        named = "; ".join(within_a_sentence(telling.where(row)) for row in places)
        yield f"Outside, nothing decided on the form: {named}."
    if roles := _unsigned(record):
        yield f"Nobody signed on the form as {listed(roles)}."


def _unknown(record: Row) -> list[Row]:
    return [row for row in record.get("position", ()) if row["state"] == UNKNOWN]


def _with(record: Row, word: str) -> list[Row]:
    """The positions where a step came out so, and was not let stand."""
    rows = [row for row in record.get("position", ()) if row["state"] in _UNFINISHED]
    return [row for row in rows if word in row["outcome"].values()]


def _places(record: Row) -> list[Row]:
    """Give what is measured once or at points, and lay outside with nothing decided."""
    rows = [row for row in record.get("deviation", ()) if not row.get("position")]
    return [
        row
        for row in rows
        if _OUTSIDE & {each["kind"] for each in row["departed"]}
        and any(each["choice"] == NOTHING_WRITTEN for each in row.get("decided", ()))
    ]


def _unsigned(record: Row) -> list[str]:
    """The roles that the procedure requires and nobody signed for."""
    return [str(row["role"]) for row in record.get("sign_off", ()) if row.get("left_open") and row.get("required")]


def _named(telling: Telling, rows: list[Row]) -> str:
    """Bolts by their groups: "coupling bolts 3, 4"."""
    groups: dict[str, list[str]] = {}
    for row in rows:
        groups.setdefault(row["group"], []).append(row["position"])
    return "; ".join(within_a_sentence(telling.bolts(group, positions)) for group, positions in groups.items())
