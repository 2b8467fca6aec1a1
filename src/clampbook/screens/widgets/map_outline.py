"""The outline of the part behind its places: a rounded edge around rows, a ring through a circle, sides by name."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final

from rich.cells import cell_len, set_cell_size

from clampbook.screens.widgets.map_boxes import Box
from clampbook.screens.widgets.map_piece import Line, Piece
from clampbook.screens.widgets.map_places import Cell

SIDE: Final = 2  # columns between the outline of rows and their frames, itself included
ROUND_A_NAME: Final = 6  # columns of a side that its name leaves: two corners, two lines, two blanks
_STEPS: Final = 720  # points of a ring
_CORNERS: Final = {  # from where and to where a line goes, by its steps in columns and lines
    frozenset({(-1, 0), (1, 0)}): "─",
    frozenset({(0, -1), (0, 1)}): "│",
    frozenset({(1, 0), (0, 1)}): "╭",
    frozenset({(-1, 0), (0, 1)}): "╮",
    frozenset({(1, 0), (0, -1)}): "╰",
    frozenset({(-1, 0), (0, -1)}): "╯",
}


def edge(left: int, top: int, columns: int, rows: int, above: str, below: str) -> dict[int, Line]:
    """A rounded edge with its upper left corner there, a name in its upper and in its lower side."""
    lines: dict[int, Line] = {
        top: (Piece(left, f"╭{_named(above, columns - 2)}╮", "quiet"),),
        top + rows - 1: (Piece(left, f"╰{_named(below, columns - 2)}╯", "quiet"),),
    }
    for line in range(top + 1, top + rows - 1):
        lines[line] = (Piece(left, "│", "quiet"), Piece(left + columns - 1, "│", "quiet"))
    return lines


def _named(name: str, columns: int) -> str:
    told = set_cell_size(name, min(cell_len(name), max(0, columns + 2 - ROUND_A_NAME)))
    told = f" {told} " if told else ""
    before = (columns - cell_len(told)) // 2
    return f"{'─' * before}{told}{'─' * (columns - cell_len(told) - before)}"


def ring(cells: Sequence[Cell], box: Box) -> dict[int, Line]:
    """A ring through the middles of the frames, seen only between them."""
    middles = [(cell.column + box.columns // 2, cell.line + box.rows // 2) for cell in cells]
    columns, lines = ([middle[axis] for middle in middles] for axis in (0, 1))
    across, down = (max(columns) - min(columns)) / 2, (max(lines) - min(lines)) / 2
    if across < 1 or down < 1:
        return {}
    centre = (max(columns) + min(columns)) / 2, (max(lines) + min(lines)) / 2
    drawn = _traced(_around(centre, across, down))
    covered = [(c.line, c.line + box.rows, c.column - 1, c.column + box.columns) for c in cells]
    seen: dict[int, dict[int, str]] = {}
    for (column, line), sign in drawn.items():
        if not any(first <= line < last and left <= column <= right for first, last, left, right in covered):
            seen.setdefault(line, {})[column] = sign
    return {line: tuple(_runs(signs)) for line, signs in seen.items()}


def _around(centre: tuple[float, float], across: float, down: float) -> list[tuple[int, int]]:
    """The cells that a ring comes by, each beside the next, never across a corner."""
    path: list[tuple[int, int]] = []
    for step in range(_STEPS + 1):
        turn = math.tau * step / _STEPS
        to = round(centre[0] + across * math.sin(turn)), round(centre[1] - down * math.cos(turn))
        if path and path[-1] == to:
            continue
        if path and path[-1][0] != to[0] and path[-1][1] != to[1]:
            outside = abs(math.sin(turn)) > abs(math.cos(turn))
            path.append((path[-1][0], to[1]) if outside else (to[0], path[-1][1]))
        path.append(to)
    return path[:-1] if len(path) > 1 and path[0] == path[-1] else path


def _traced(path: list[tuple[int, int]]) -> dict[tuple[int, int], str]:
    drawn = {}
    for at, cell in enumerate(path):
        before, after = path[at - 1], path[(at + 1) % len(path)]
        ways = frozenset((other[0] - cell[0], other[1] - cell[1]) for other in (before, after))
        drawn[cell] = _CORNERS.get(ways, "─")
    return drawn


def _runs(signs: dict[int, str]) -> list[Piece]:
    """Signs of a line, those beside each other in one piece."""
    pieces: list[Piece] = []
    for column in sorted(signs):
        if pieces and pieces[-1].column + len(pieces[-1].text) == column:
            pieces[-1] = Piece(pieces[-1].column, pieces[-1].text + signs[column], "quiet")
        else:
            pieces.append(Piece(column, signs[column], "quiet"))
    return pieces
