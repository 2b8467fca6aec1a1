"""The map with a frame for each place: where the frames stand, the outline around or through them, and the sides."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Protocol

from msgspec import Struct
from rich.cells import cell_len, set_cell_size

from clampbook.procedure.model import Layout
from clampbook.screens.widgets.map_boxes import Box, boxed
from clampbook.screens.widgets.map_outline import ROUND_A_NAME, SIDE, edge, ring
from clampbook.screens.widgets.map_piece import Line, Piece
from clampbook.screens.widgets.map_places import Cell, Placed


class Seen(Protocol):
    """A view of a joint: the picture turned as the person stands, and the window it has to fit."""

    @property
    def layout(self) -> Layout: ...
    @property
    def width(self) -> int: ...
    @property
    def height(self) -> int: ...
    @property
    def quarters(self) -> int: ...
    @property
    def from_below(self) -> bool: ...
    @property
    def names(self) -> dict[str, str]: ...


class Parts(Struct, frozen=True):
    """Frames where they stand in the window, what stands around them, and the first line below all of it."""

    placed: Placed
    cells: tuple[Cell, ...]
    box: Box
    left: int
    top: int
    around: dict[int, Line]
    end: int


def framed_parts(
    sight: Seen, margins: tuple[int, int], legend: int, signs: Mapping[str, str], names: tuple[str, str, str]
) -> Parts | None:
    """Place frames as large as the window takes beside the names of the sides; None where not even small ones fit.

    `names` are that of the far side, and that of the person's: below several rows, and below a single one.
    """
    rows = sight.layout.kind in ("rows", "line")
    across, down = sight.width - sum(margins) - (2 * SIDE if rows else 0), sight.height - 2 - legend
    if across <= 0 or down <= 0:
        return None
    found = boxed(sight.layout, across, down, sight.quarters, sight.from_below, signs)
    if found is None:
        return None
    placed, box = found
    left = margins[0] + (SIDE if rows else 0) + (across - placed.width) // 2
    top = 1 + (down - placed.height) // 2
    cells = tuple(Cell(c.position, c.label, c.column + left, c.line + top) for c in placed.cells)
    end = top + placed.height + 1
    above, below = names[0], names[2 if placed.height == box.rows else 1]
    if rows:
        wide = min(across, max(placed.width, *(cell_len(name) + ROUND_A_NAME - 2 * SIDE for name in (above, below))))
        first = left - SIDE - (wide - placed.width) // 2
        around = edge(first, top - 1, wide + 2 * SIDE, placed.height + 2, above, below)
        ends = first, first + wide + 2 * SIDE
    else:
        around = ring(cells, box) if sight.layout.kind == "circle" else {}
        middle = left + placed.width // 2
        for line, name in ((top - 1, above), (end - 1, below)):
            around[line] = (_centred(name, middle, sight.width),)
        ends = left, left + placed.width
    _beside(around, sight.names, ends, top, placed.height)
    return Parts(placed, cells, box, left, top, around, end)


def _centred(name: str, middle: int, width: int) -> Piece:
    cut = set_cell_size(name, min(cell_len(name), width))
    return Piece(min(max(0, middle - cell_len(cut) // 2), width - cell_len(cut)), cut, "quiet")


def _beside(around: dict[int, Line], names: Mapping[str, str], ends: tuple[int, int], top: int, height: int) -> None:
    """The names of the sides at the left and at the right, a word a line."""
    for side in ("left", "right"):
        words = names.get(side, "").split()
        for line, word in enumerate(words, start=top + (height - len(words)) // 2):
            column = ends[0] - cell_len(word) - 1 if side == "left" else ends[1] + 1
            room = ends[0] - 1 if side == "left" else 12
            text = set_cell_size(word, min(cell_len(word), max(0, room)))
            around[line] = (*around.get(line, ()), Piece(max(0, column), text, "quiet"))
