"""The joint map as lines of pieces: marks and labels, the names of the edges, where the person stands, what fits."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final, Literal

from rich.cells import cell_len, set_cell_size

from clampbook.procedure.model import Layout
from clampbook.screens.widgets.map_places import Cell, Placed, edges, placed
from clampbook.screens.widgets.marks import Mark, sign, tone
from clampbook.text import printable

Tone = Literal["ink", "quiet", "under", "over", "concession", "now"]
STANDING: Final = "you stand here"
_MARGIN: Final = 12  # cells for the name of an edge at the side, at most
_SIGNS: Final = "³⁴⁵⁶⁷⁸⁹"  # from the third kind of fastener on; the second is underlined, the first is plain
_LEAST_FOR_LEGEND: Final = 6


@dataclass(frozen=True, slots=True)
class Piece:
    """A text at a column of a line, the tone it is painted in, and whether it is underlined."""

    column: int
    text: str
    tone: str = "ink"
    underlined: bool = False


Line = tuple[Piece, ...]


@dataclass(frozen=True, slots=True)
class Frame:
    """All of a map that marks do not change: which cells are seen on which line, and what stands around them."""

    around: dict[int, Line]
    cells: dict[int, tuple[Cell, ...]]  # by line of the window, columns of the window
    line_of: dict[str, int]
    kinds: dict[str, int]  # position -> kind of fastener, 0 the most frequent
    width: int
    height: int


@dataclass(frozen=True, slots=True)
class View:
    """The part of the picture that is looked at, by its left and upper end."""

    left: int
    top: int


def draw(
    layout: Layout,
    marks: Mapping[str, Mark],
    now: tuple[str, ...],
    width: int,
    height: int,
    quarters: int = 0,
    from_below: bool = False,
    fits: Mapping[str, str] | None = None,
) -> tuple[Line, ...]:
    """The map in `width` × `height` cells. `marks` holds what became of each position (none: to do); `fits` what
    fastener belongs where, if they differ."""
    frame, _ = framed(layout, now, width, height, quarters, from_below, fits or {})
    return tuple(line_at(frame, y, marks, now) for y in range(height))


def plain(line: Line) -> str:
    """The line without tones."""
    text = ""
    for piece in line:
        text = set_cell_size(text, piece.column) + piece.text
    return text


def framed(
    layout: Layout,
    now: tuple[str, ...],
    width: int,
    height: int,
    quarters: int,
    from_below: bool,
    fits: Mapping[str, str],
    before: View | None = None,
) -> tuple[Frame, View]:
    """The frame for this window. `before` is what was looked at last: kept while the present position is in it."""
    names = edges(layout, quarters, from_below)
    kinds = _kinds(fits)
    legend = _legend(kinds) if height >= _LEAST_FOR_LEGEND else ""
    left, right = (_margin(names.get(side, ""), width) for side in ("left", "right"))
    top = 1 if "above" in names else 0
    room = (max(1, width - left - right), max(1, height - top - 1 - bool(legend)))
    picture = placed(layout, *room, quarters, from_below)
    view = _view(picture, now, room, before)
    seen = [
        Cell(c.position, c.label, c.column - view.left + left, c.line - view.top + top)
        for c in picture.cells
        if _inside(c, view, room)
    ]
    used = (min(picture.width, room[0]), min(picture.height, room[1]))
    around = _around(names, left, top, used, width)
    foot = top + used[1]
    around[foot] = _foot(names, left, used[0], width, _hidden(picture, len(seen), view, room))
    if legend:
        around[foot + 1] = (Piece(0, set_cell_size(legend, min(width, cell_len(legend))), "quiet"),)
    by_line: dict[int, list[Cell]] = {}
    for cell in seen:
        by_line.setdefault(cell.line, []).append(cell)
    cells = {line: tuple(sorted(found, key=lambda cell: cell.column)) for line, found in by_line.items()}
    kind_of = {position: kinds.index(fit) for position, fit in fits.items()}
    return Frame(around, cells, {c.position: c.line for c in seen}, kind_of, width, height), view


def line_at(frame: Frame, y: int, marks: Mapping[str, Mark], now: Sequence[str]) -> Line:
    """One line of the map."""
    pieces = list(frame.around.get(y, ()))
    for cell in frame.cells.get(y, ()):
        pieces.extend(_pieces(cell, marks.get(cell.position, "to do"), cell.position in now, frame.kinds))
    return tuple(sorted(pieces, key=lambda piece: piece.column))


def _pieces(cell: Cell, mark: Mark, is_now: bool, kinds: Mapping[str, int]) -> Line:
    kind = kinds.get(cell.position, 0)
    label = cell.label + (_SIGNS[min(kind - 2, len(_SIGNS) - 1)] if kind > 1 else "")
    if is_now:
        return (
            Piece(cell.column, "[", "now"),
            Piece(cell.column + 1, label, "now", kind == 1),
            Piece(cell.column + 1 + cell_len(label), "]", "now"),
        )
    colour = tone(mark)
    return Piece(cell.column, sign(mark), colour), Piece(cell.column + 1, label, colour, kind == 1)


def _kinds(fits: Mapping[str, str]) -> list[str]:
    """The kinds of fastener, most frequent first; nothing to tell apart where there is only one."""
    return [fit for fit, _ in Counter(fits.values()).most_common()]


def _legend(kinds: Sequence[str]) -> str:
    if len(kinds) < 2:
        return ""
    named = [f"plain: {printable(kinds[0])}", f"underlined: {printable(kinds[1])}"]
    named += [f"{key}: {printable(fit)}" for key, fit in zip(_SIGNS, kinds[2:], strict=False)]
    return "   ".join(named)


def _margin(name: str, width: int) -> int:
    return min(max(map(cell_len, name.split()), default=-2) + 2, _MARGIN, width // 4)


def _view(picture: Placed, now: tuple[str, ...], room: tuple[int, int], before: View | None) -> View:
    """What to look at: all of it, the same part as before, or the neighbourhood of the present position."""
    centre = [cell for cell in picture.cells if cell.position in now]
    most = View(max(0, picture.width - room[0]), max(0, picture.height - room[1]))
    if not centre or most == View(0, 0):
        return View(0, 0)
    if before and before.left <= most.left and before.top <= most.top and all(_inside(c, before, room) for c in centre):
        return before
    column = sum(cell.column for cell in centre) // len(centre)
    line = sum(cell.line for cell in centre) // len(centre)
    return View(min(max(0, column - room[0] // 2), most.left), min(max(0, line - room[1] // 2), most.top))


def _inside(cell: Cell, view: View, room: tuple[int, int]) -> bool:
    column, line = cell.column - view.left, cell.line - view.top
    return 0 <= column and column + cell_len(cell.label) + 2 <= room[0] and 0 <= line < room[1]


def _hidden(picture: Placed, seen: int, view: View, room: tuple[int, int]) -> str:
    if seen == len(picture.cells):
        return ""
    more = {
        "left": view.left > 0,
        "right": view.left + room[0] < picture.width,
        "above": view.top > 0,
        "below": view.top + room[1] < picture.height,
    }
    where = [side for side, is_there in more.items() if is_there]
    return f"{seen} of {len(picture.cells)} shown, more {', '.join(where)}"


def _around(names: Mapping[str, str], left: int, top: int, used: tuple[int, int], width: int) -> dict[int, Line]:
    around: dict[int, Line] = {}
    if top:
        around[0] = (_centred(names["above"], left, used[0], width),)
    for side, column, room in (("left", 0, left - 2), ("right", left + used[0] + 1, width - left - used[0] - 1)):
        words = names.get(side, "").split() if room > 0 else []
        first = top + max(0, (used[1] - len(words)) // 2)
        for line, word in enumerate(words[: used[1]], start=first):
            text = set_cell_size(word, min(cell_len(word), room))
            around[line] = (*around.get(line, ()), Piece(column, text, "quiet"))
    return around


def _foot(names: Mapping[str, str], left: int, across: int, width: int, hidden: str) -> Line:
    """The line under the picture: the edge at the person's side, and that they stand there."""
    text = f"{names['below']} · {STANDING}" if "below" in names else STANDING
    standing = _centred(text, left, across, width)
    end = standing.column + cell_len(standing.text)
    if not hidden or end + 3 + cell_len(hidden) > width:
        return (standing,) if not hidden else (_centred(f"{STANDING} · {hidden}", 0, width, width),)
    return standing, Piece(width - cell_len(hidden), hidden, "quiet")


def _centred(text: str, left: int, across: int, width: int) -> Piece:
    cut = set_cell_size(text, min(cell_len(text), width))
    column = left + (across - cell_len(cut)) // 2
    return Piece(min(max(0, column), width - cell_len(cut)), cut, "quiet")
