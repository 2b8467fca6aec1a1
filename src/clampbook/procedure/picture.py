"""The one picture of a joint: where each position stands, from rows, a circle or coordinates."""

from __future__ import annotations

import math
from collections.abc import Sequence

from clampbook.procedure.codes import Code
from clampbook.procedure.labels import MOST_POSITIONS, expanded, fit, once, too_many
from clampbook.procedure.model import Layout, Place
from clampbook.procedure.sheet import EdgesTable, LayoutTable
from clampbook.procedure.sheet_groups import GroupTable
from clampbook.procedure.slips import KeyPath, Slips
from clampbook.procedure.washing import UNREAD

_AT: KeyPath = ("layout",)
_WAYS = ("rows", "circle", "at")
_EMPTY = "."
_ANGLE_OF = {"right": 0.0, "bottom": 0.25, "left": 0.5, "top": 0.75}
_DECIMALS = 4
_SMALLEST_RADIUS = 1.5


def layout(slips: Slips, table: LayoutTable | None, groups: Sequence[GroupTable]) -> tuple[Layout, bool]:
    """The picture, and whether it is sound.

    Where the file draws none, or one with a slip, all positions of the groups stand in a single row.
    """
    picture = None if table is None else _drawn(slips, table)
    if table is None and not _slipped(slips):
        return _line(groups), True
    sound = picture is not None and not _slips_at(slips, (_AT, *((*_AT, way) for way in _WAYS)))
    return picture if picture is not None and sound else _line(groups), sound


def _drawn(slips: Slips, table: LayoutTable) -> Layout | None:
    drawn = [name for name in _WAYS if getattr(table, name) is not None]
    if not drawn and _slipped(slips):
        return None
    if len(drawn) != 1:
        slips.add(
            Code.LAYOUT,
            _AT,
            f"layout is drawn in {len(drawn)} ways, by {' and '.join(drawn)}" if drawn else "layout draws nothing",
            found=" and ".join(drawn) or "nothing",
            allowed="exactly one of rows, circle, at",
            hint="use one of rows, circle, at",
        )
    for key in ("first", "clockwise"):
        if table.circle is None and key in table.model_fields_set and drawn:
            slips.add(
                Code.LAYOUT,
                (*_AT, key),
                f"{key} belongs to a circle",
                found=drawn[0],
                allowed="circle",
                hint=f"remove {key}",
            )
    edges = {} if table.edges is None else _edges(table.edges)
    if table.rows is not None:
        rows = _rows(slips, table.rows)
        return Layout(kind="rows", places=_in_cells(rows), rows=rows, seen_from=table.seen_from, edges=edges)
    if table.circle is not None:
        return Layout(kind="circle", places=_circle(slips, table), seen_from=table.seen_from, edges=edges)
    return Layout(kind="at", places=_spots(slips, table), seen_from=table.seen_from, edges=edges)


def _slipped(slips: Slips) -> bool:
    """True where anything at all was found in the layout."""
    return any(slip.at[:1] == _AT for slip in slips.found)


def _slips_at(slips: Slips, places: tuple[KeyPath, ...]) -> bool:
    """True where a slip was found at one of these places or, but for the layout itself, anywhere below it."""
    return any(slip.at == at or (at != _AT and slip.at[: len(at)] == at) for slip in slips.found for at in places)


def _line(groups: Sequence[GroupTable]) -> Layout:
    """A single row in the order in which groups name positions; slips in them are told by the groups themselves."""
    unheard = Slips()
    names = dict.fromkeys(
        label for group in groups for label in expanded(unheard, (), group.positions or ()) if label != UNREAD
    )
    return Layout(kind="line", places=tuple(Place(position=name, x=float(i), y=0.0) for i, name in enumerate(names)))


def _edges(table: EdgesTable) -> dict[str, str]:
    return {edge: text for edge, text in table.model_dump().items() if text is not None}


def _rows(slips: Slips, written: Sequence[str]) -> tuple[tuple[str | None, ...], ...]:
    """The grid as drawn, filled up to the longest row; a label that stands twice is drawn once."""
    seen: set[str] = set()
    rows: list[list[str | None]] = []
    for index, row in enumerate(written):
        cells: list[str | None] = []
        twice: dict[str, None] = {}
        for cell in row.split() if row != UNREAD else []:
            again = cell in seen
            if again:
                twice[cell] = None
            drawn = cell != _EMPTY and not again and fit(slips, (*_AT, "rows", index), cell)
            cells.append(cell if drawn else None)
            if drawn:
                seen.add(cell)
        if twice:
            once(slips, (*_AT, "rows", index), [*twice, *twice])
        rows.append(cells)
    if len(seen) > MOST_POSITIONS:
        too_many(slips, (*_AT, "rows"), f"{len(seen)} positions")
    if not seen:
        slips.add(
            Code.LAYOUT,
            (*_AT, "rows"),
            "rows have no position",
            found="dots only",
            allowed="a position",
            hint="name a position",
        )
    widest = max(map(len, rows), default=0)
    return tuple((*row, *[None] * (widest - len(row))) for row in rows)


def _in_cells(rows: tuple[tuple[str | None, ...], ...]) -> tuple[Place, ...]:
    found: dict[str, Place] = {}
    for y, row in enumerate(rows):
        for x, cell in enumerate(row):
            if cell is not None:
                found.setdefault(cell, Place(position=cell, x=float(x), y=float(y)))
    return tuple(found.values())


def _circle(slips: Slips, table: LayoutTable) -> tuple[Place, ...]:
    """Positions 1 … n around a circle on which they stand about two cells apart."""
    count = table.circle or 0
    if count > MOST_POSITIONS:
        too_many(slips, (*_AT, "circle"), str(count))
        return ()
    radius = max(_SMALLEST_RADIUS, count / math.pi)
    way = 1 if table.clockwise else -1
    places = []
    for index in range(count):
        turn = math.tau * (_ANGLE_OF[table.first] + way * index / count)
        x, y = radius * (1 + math.cos(turn)), radius * (1 + math.sin(turn))
        places.append(Place(position=str(index + 1), x=round(x, _DECIMALS), y=round(y, _DECIMALS)))
    return tuple(places)


def _spots(slips: Slips, table: LayoutTable) -> tuple[Place, ...]:
    places = []
    for label, (x, y) in (table.at or {}).items():
        if fit(slips, (*_AT, "at", label), label):
            places.append(Place(position=label, x=float(x), y=float(y)))
    if table.at is not None and not table.at and not _slips_at(slips, ((*_AT, "at"),)):
        slips.add(
            Code.LAYOUT,
            (*_AT, "at"),
            "layout has no position",
            found="nothing",
            allowed="a position",
            hint="name a position",
        )
    if len(places) > MOST_POSITIONS:
        too_many(slips, (*_AT, "at"), f"{len(places)} positions")
    once(slips, (*_AT, "at"), [place.position for place in places])
    return tuple(places)
