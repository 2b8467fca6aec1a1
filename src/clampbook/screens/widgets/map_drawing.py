"""The joint map as lines of pieces: marks and labels, the names of the edges, where the person stands, what fits."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Final, Literal

from rich.cells import cell_len, set_cell_size

from clampbook.procedure.model import Layout
from clampbook.screens.widgets.box_drawing import Standing, rows_of
from clampbook.screens.widgets.map_boxes import PLAIN, Box
from clampbook.screens.widgets.map_parts import Parts, framed_parts
from clampbook.screens.widgets.map_piece import Line, Piece
from clampbook.screens.widgets.map_places import Cell, Placed, edges, placed
from clampbook.screens.widgets.marks import Mark, sign, tone
from clampbook.text import printable

Tone = Literal["ink", "quiet", "under", "over", "concession", "now"]
STANDING: Final = "you stand here"
STANDING_BESIDE: Final = "you stand on this side"
_GAP: Final = 3
_MARGIN: Final = 12  # cells for the name of an edge at the side, at most
_SIGNS: Final = "³⁴⁵⁶⁷⁸⁹"  # from the third kind of fastener on; the second is underlined, the first is plain
_LEAST_FOR_LEGEND: Final = 6


@dataclass(frozen=True, slots=True)
class Frame:
    """All of a map that marks do not change: which cells are seen on which line, and what stands around them."""

    around: dict[int, Line]
    cells: dict[int, tuple[Cell, ...]]  # by line of the window, columns of the window
    line_of: dict[str, int]  # the first line of each
    kinds: dict[str, int]
    box: Box = PLAIN


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
    ahead: tuple[str, ...] = (),
) -> tuple[Line, ...]:
    """Draw the map in `width` × `height` cells. `marks` holds what became of each position (none: to do), `ahead` the
    ones that come next; `fits` what fastener belongs where, if they differ."""
    frame, _ = framed(pictured(Sight(layout, width, height, quarters, from_below, fits or {})), now)
    return tuple(line_at(frame, y, marks, now, ahead) for y in range(height))


def plain(line: Line) -> str:
    """The line without tones."""
    text = ""
    for piece in line:
        text = set_cell_size(text, piece.column) + piece.text
    return text


@dataclass(frozen=True, slots=True)
class Sight:
    """The view of a joint: the picture turned as the person stands, and the window it has to fit."""

    layout: Layout
    width: int
    height: int
    quarters: int = 0
    from_below: bool = False
    fits: Mapping[str, str] = field(default_factory=dict)
    strip: bool = False  # only the places around the one at hand, with nothing beside them
    least: int = 0  # rows that the map has at every pull, by which its style is chosen, so that none comes and goes
    on_form: bool = False  # a filled form is typed in, and nobody stands at the joint

    @property
    def standing(self) -> tuple[str, str]:
        """The words for where the person stands: below several rows, and below a single one."""
        return ("", "") if self.on_form else (STANDING, STANDING_BESIDE)

    @property
    def names(self) -> dict[str, str]:
        """The names of what lies at each side."""
        return {} if self.strip else edges(self.layout, self.quarters, self.from_below)


@dataclass(frozen=True, slots=True)
class Picture:
    """The whole joint in cells, wherever the work stands, and the room it is looked at in."""

    placed: Placed
    names: dict[str, str]
    legend: tuple[Line, ...]
    kinds: dict[str, int]  # position -> kind of fastener, 0 the most frequent
    left: int
    top: int
    room: tuple[int, int]
    width: int
    aspect: str  # from where it is seen, where that is not from above
    parts: Parts | None = None  # where the positions stand in frames
    bare: bool = False  # nothing stands around them
    standing: tuple[str, str] = (STANDING, STANDING_BESIDE)


def pictured(sight: Sight) -> Picture:
    """Everything that neither marks nor the present position change; the costly part, done once a size and turn."""
    if sight.strip:
        return _strip(sight)
    if sight.layout.kind == "circle" and sight.least:  # as large at every question as at a pull
        sight = replace(sight, height=min(sight.height, sight.least))
    names = sight.names
    fits = sight.fits if sight.height >= _LEAST_FOR_LEGEND else {}  # a sign that nothing explains only puzzles
    kinds = _kinds(fits)
    legend = _legend(kinds, sight.width)
    left, right = (_margin(names.get(side, ""), sight.width) for side in ("left", "right"))
    aspect = _aspect(sight.layout.seen_from, sight.from_below)
    top = 1 if "above" in names or aspect else 0
    room = (max(1, sight.width - left - right), max(1, sight.height - top - 1 - len(legend)))
    kind_of = {position: kinds.index(fit) for position, fit in fits.items()}
    signs = {position: _SIGNS[min(kind - 2, len(_SIGNS) - 1)] for position, kind in kind_of.items() if kind > 1}
    near, beside = (_below(names, here) for here in sight.standing)
    told = _above(names, aspect), near, beside
    parts = _in_one_style(sight, lambda seen: framed_parts(seen, (left, right), len(legend), signs, told))
    if parts is not None:
        return Picture(parts.placed, names, legend, kind_of, parts.left, parts.top, room, sight.width, aspect, parts)
    whole = placed(sight.layout, *room, sight.quarters, sight.from_below, signs)
    if top and not aspect and whole.height > room[1]:  # a row of positions is worth more than the far edge's name
        top, room = 0, (room[0], room[1] + 1)
        whole = placed(sight.layout, *room, sight.quarters, sight.from_below, signs)
    standing = sight.standing
    return Picture(whole, names, legend, kind_of, left, top, room, sight.width, aspect, standing=standing)


def _in_one_style(sight: Sight, parts: Callable[[Sight], Parts | None]) -> Parts | None:
    """Frames as large as there is room for, of the size that fits at a pull as well; None where none fit there."""
    at_a_pull = parts(replace(sight, height=min(sight.height, sight.least or sight.height)))
    now = None if at_a_pull is None else parts(sight)
    return now if at_a_pull is None or now is None or now.box.grand == at_a_pull.box.grand else at_a_pull


def _strip(sight: Sight) -> Picture:
    room = (sight.width, sight.height)
    whole = placed(sight.layout, *room, sight.quarters, sight.from_below)
    return Picture(whole, {}, (), {}, 0, 0, room, sight.width, "", bare=True)


def framed(picture: Picture, now: tuple[str, ...], before: View | None = None) -> tuple[Frame, View]:
    """The part that is seen. `before` is what was looked at last: kept while the present position is in it."""
    if picture.parts is not None:
        return _in_frames(picture, picture.parts), View(0, 0)
    whole, room = picture.placed, picture.room
    view = _view(whole, now, room, before)
    seen = [
        Cell(c.position, c.label, c.column - view.left + picture.left, c.line - view.top + picture.top)
        for c in whole.cells
        if _inside(c, view, room)
    ]
    used = (min(whole.width, room[0]), min(whole.height, room[1]))
    around = _around(picture, used)
    foot = picture.top + used[1]
    if not picture.bare:
        around[foot] = _foot(picture, used, _hidden(whole, len(seen), view, room))
    around.update(enumerate(picture.legend, start=foot + 1))
    by_line: dict[int, list[Cell]] = {}
    for cell in seen:
        by_line.setdefault(cell.line, []).append(cell)
    cells = {line: tuple(sorted(found, key=lambda cell: cell.column)) for line, found in by_line.items()}
    return Frame(around, cells, {c.position: c.line for c in seen}, picture.kinds), view


def _in_frames(picture: Picture, parts: Parts) -> Frame:
    """All of it, where every position has a frame of its own."""
    by_line: dict[int, list[Cell]] = {}
    for cell in parts.cells:
        for line in range(cell.line, cell.line + parts.box.rows):
            by_line.setdefault(line, []).append(cell)
    cells = {line: tuple(sorted(found, key=lambda cell: cell.column)) for line, found in by_line.items()}
    around = {**parts.around, **dict(enumerate(picture.legend, start=parts.end))}
    return Frame(around, cells, {c.position: c.line for c in parts.cells}, picture.kinds, parts.box)


def line_at(frame: Frame, y: int, marks: Mapping[str, Mark], now: Sequence[str], ahead: Sequence[str] = ()) -> Line:
    """Give one line of the map."""
    pieces = list(frame.around.get(y, ()))
    for cell in frame.cells.get(y, ()):
        standing: Standing = "now" if cell.position in now else "next" if cell.position in ahead else ""
        mark, second = marks.get(cell.position, "to do"), frame.kinds.get(cell.position, 0) == 1
        if frame.box == PLAIN:
            pieces.extend(_pieces(cell, mark, standing, second))
        else:
            pieces.extend(_framed_pieces(cell, y - cell.line, mark, standing, second, frame.box))
    return tuple(sorted(pieces, key=lambda piece: piece.column))


def _pieces(cell: Cell, mark: Mark, standing: Standing, second: bool) -> Line:
    """A mark and a number in one line, between thick bars the one now, between broken ones the next."""
    left, colour, end = sign(mark), tone(mark), cell.column + 1 + cell_len(cell.label)
    if standing == "now":
        left, colour = "┃", "now"
    elif standing == "next" and mark == "to do":
        left = "╎"
    pieces = (Piece(cell.column, left, colour), Piece(cell.column + 1, cell.label, colour, second))
    return (*pieces, Piece(end, "┃" if standing == "now" else "╎", colour)) if standing else pieces


def _framed_pieces(cell: Cell, row: int, mark: Mark, standing: Standing, second: bool, box: Box) -> Line:
    pieces, column = [], cell.column
    number_row = box.rows - 2 if box.grand else 1
    for part, (text, colour) in enumerate(rows_of(cell.label, mark, standing, box, row)):
        label = text.strip() if second and part == 1 and row == number_row else ""
        lead = len(text) - len(text.lstrip()) if label else 0
        pieces.append(Piece(column, text[:lead] if label else text, colour))
        if label:
            pieces.append(Piece(column + lead, label, colour, True))
            pieces.append(Piece(column + lead + cell_len(label), text[lead + len(label) :], colour))
        column += cell_len(text)
    return tuple(pieces)


def _above(names: Mapping[str, str], aspect: str) -> str:
    return " · ".join(part for part in (names.get("above", ""), aspect) if part)


def _below(names: Mapping[str, str], standing: str) -> str:
    """The side where the person stands, by name."""
    return " · ".join(part for part in (names.get("below", ""), standing) if part)


def _kinds(fits: Mapping[str, str]) -> list[str]:
    """The kinds of fastener, most frequent first; nothing to tell apart where there is only one."""
    return [fit for fit, _ in Counter(fits.values()).most_common()]


def _legend(kinds: Sequence[str], width: int) -> tuple[Line, ...]:
    """Explain the signs of the kinds, on as few lines as the width allows."""
    if len(kinds) < 2:
        return ()
    keys = ("plain", "underlined", *_SIGNS)
    lines: list[list[Piece]] = [[]]
    end = 0
    for key, fit in zip(keys, kinds, strict=False):
        text = f"{key}: {printable(fit)}"
        text = set_cell_size(text, min(cell_len(text), width))
        if lines[-1] and end + _GAP + cell_len(text) > width:
            lines.append([])
        column = end + _GAP if lines[-1] else 0
        lines[-1].append(Piece(column, text, "quiet", key == "underlined"))
        end = column + cell_len(text)
    return tuple(tuple(line) for line in lines)


def _aspect(seen_from: str | None, from_below: bool) -> str:
    if from_below:
        return "seen from above" if seen_from == "below" else "seen from below"
    return f"seen from {printable(seen_from)}" if seen_from and seen_from != "above" else ""


def _margin(name: str, width: int) -> int:
    return min(max(map(cell_len, name.split()), default=-2) + 2, _MARGIN, width // 4)


def _view(picture: Placed, now: tuple[str, ...], room: tuple[int, int], before: View | None) -> View:
    """Choose what to look at: all of it, the same part as before, or the neighbourhood of the present position."""
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


def _around(picture: Picture, used: tuple[int, int]) -> dict[int, Line]:
    """Give what stands above and beside the picture."""
    names, left, top, width = picture.names, picture.left, picture.top, picture.width
    around: dict[int, Line] = {}
    above = (_centred(names["above"], left, used[0], width),) if top and "above" in names else ()
    end = above[0].column + cell_len(above[0].text) + _GAP if above else 0
    if picture.aspect and width - cell_len(picture.aspect) >= end:
        above = (*above, Piece(width - cell_len(picture.aspect), picture.aspect, "quiet"))
    if above:
        around[0] = above
    for side, column, room in (("left", 0, left - 2), ("right", left + used[0] + 1, width - left - used[0] - 1)):
        words = names.get(side, "").split() if room > 0 else []
        first = top + max(0, (used[1] - len(words)) // 2)
        for line, word in enumerate(words[: used[1]], start=first):
            text = set_cell_size(word, min(cell_len(word), room))
            around[line] = (*around.get(line, ()), Piece(column, text, "quiet"))
    return around


def _foot(picture: Picture, used: tuple[int, int], hidden: str) -> Line:
    """The line under the picture: the edge at the person's side, that they stand there, and how much is not seen.

    Under a single row it says the side, so that nobody reads it as the name of the bolt above it.
    """
    below, width, across = picture.names.get("below"), picture.width, used[0]
    here = picture.standing[0 if used[1] > 1 else 1]
    standing = _centred(below or here, picture.left, across, width)  # both edges' names on one axis
    if below and here:
        both = f"{below} · {here}"
        on_axis = standing.column + cell_len(both) <= width
        standing = Piece(standing.column, both, "quiet") if on_axis else _centred(both, picture.left, across, width)
    if not hidden:
        return (standing,)
    if standing.column + cell_len(standing.text) + _GAP + cell_len(hidden) <= width:
        return standing, Piece(width - cell_len(hidden), hidden, "quiet")
    told = (*((f"{here} · {hidden}", f"{here} · {hidden.partition(',')[0]}") if here else ()), hidden)
    return (_centred(next((text for text in told if cell_len(text) <= width), told[-1]), 0, width, width),)


def _centred(text: str, left: int, across: int, width: int) -> Piece:
    cut = set_cell_size(text, min(cell_len(text), width))
    column = left + (across - cell_len(cut)) // 2
    return Piece(min(max(0, column), width - cell_len(cut)), cut, "quiet")
