"""Places of a joint as small frames, as large as all of them fit: number and mark inside, thick where the work is."""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping, Sequence
from typing import Final, NamedTuple

from rich.cells import cell_len

from clampbook.procedure.model import Layout
from clampbook.screens.widgets.map_places import Cell, Placed, Scale, Spot, placed_at, shown_label, spans, turned
from clampbook.screens.widgets.slim_figures import covers_slim, slim

_MOST: Final = 64  # positions; more of them are never drawn so large
_AIR: Final = (12, 3)  # columns and rows between two frames of a grid at most
_ROUND: Final = 2  # columns of a row, so that a circle is round
_FLATTEST, _STEEPEST = 1.2, 4.5
_SHRINK: Final = 0.97


class Box(NamedTuple):
    """Columns and rows of a frame, and the columns of the number within; `grand` where number and mark are large."""

    columns: int
    rows: int
    label: int
    grand: bool


PLAIN: Final = Box(0, 1, 0, False)  # no frame: a mark and a number in one line
MARK: Final = 5  # columns of a large mark


def boxed(
    layout: Layout, width: int, height: int, quarters: int, from_below: bool, signs: Mapping[str, str]
) -> tuple[Placed, Box] | None:
    """Place all positions in frames that fit so many cells, the largest that do; None where not even small ones fit."""
    spots = turned(layout, quarters, from_below)
    if not spots or len(spots) > _MOST:
        return None
    labels = {spot.position: shown_label(spot.position) + signs.get(spot.position, "") for spot in spots}
    for box in _boxes(tuple(labels.values())):
        scale = _scale(layout.kind, spots, box, width, height)
        if scale is not None:
            cells = placed_at(spots, labels, scale)
            across, down = max(c.column for c in cells), max(c.line for c in cells)
            return Placed(cells, across + box.columns, down + box.rows), box
    return None


def _boxes(labels: tuple[str, ...]) -> tuple[Box, ...]:
    widest = max(map(cell_len, labels))
    small = Box(widest + 6, 3, widest, False)
    if not all(map(covers_slim, labels)):
        return (small,)
    drawn = max(len(slim(label)[0]) for label in labels)
    return Box(drawn + MARK + 6, 5, drawn, True), small


def _scale(kind: str, spots: Sequence[Spot], box: Box, width: int, height: int) -> Scale | None:
    """The scale at which the frames fit; None where they do not."""
    across, down = spans(spots)
    if box.columns > width or box.rows > height:
        return None
    if kind in ("rows", "line"):
        columns = (width - box.columns) // across if across else 0
        lines = (height - box.rows) // down if down else 0
        if (across and columns <= box.columns) or (down and lines < box.rows):
            return None
        return Scale(min(columns, box.columns + _AIR[0]), min(lines, box.rows + _AIR[1]))
    columns = (width - box.columns) / across if across else math.inf
    lines = (height - box.rows) / down if down else math.inf
    if min(columns, lines) <= 0 or math.isinf(min(columns, lines)):
        return None
    tries = (
        Scale(min(columns, _ROUND * lines), min(lines, columns / _ROUND)),
        Scale(min(columns, _STEEPEST * lines), min(lines, columns / _FLATTEST)),
    )
    return next((scale for scale in tries if _apart(placed_at(spots, {}, scale), box)), None)


def _apart(cells: Sequence[Cell], box: Box) -> bool:
    """Tell whether no two frames touch."""
    return all(
        abs(a.column - b.column) > box.columns or abs(a.line - b.line) >= box.rows
        for a, b in itertools.combinations(cells, 2)
    )
