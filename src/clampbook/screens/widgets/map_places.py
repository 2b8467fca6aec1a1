"""The place of each position of a joint on the screen: turned as the person stands, scaled until it can be read."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from rich.cells import cell_len

from clampbook.procedure.model import Layout
from clampbook.text import printable

LONGEST_LABEL: Final = 8  # cells; of a longer label its end is shown, which tells neighbours apart
_EDGES: Final = ("above", "right", "below", "left")  # in the order of a quarter turn clockwise
_ROOMY: Final = 15  # lines from which on a picture is spread out
_WIDE: Final = (9, 12)  # cells of air beside a cell of a grid at most, and where it is spread out
_NEAR: Final = (6, 12)  # cells of air between neighbours of a free picture at most, and where it is spread out
_HIGH: Final = (2, 5)  # lines a row takes at most, and where it is spread out
_FLATTEST, _STEEPEST = 1.2, 4.5  # columns per line that a circle may be drawn with; 2 is round
_GROWTH: Final = 1.08
_FULL_TURN: Final = round(math.tau, 3)
_HAIR: Final = 1e-3  # of a cell, so that positions at one height do not part by a rounding error


@dataclass(frozen=True, slots=True)
class Spot:
    """A position on the turned picture: x to the right, y downwards, in units of the layout."""

    position: str
    x: float
    y: float


@dataclass(frozen=True, slots=True)
class Cell:
    """A position on the screen: where its mark stands, and the label beside it."""

    position: str
    label: str
    column: int
    line: int


@dataclass(frozen=True, slots=True)
class Placed:
    """The whole picture in cells; it may be larger than the window it is looked at through."""

    cells: tuple[Cell, ...]
    width: int
    height: int


@dataclass(frozen=True, slots=True)
class Scale:
    """Columns and lines a unit of the layout takes."""

    columns: float
    lines: float


def turned(layout: Layout, quarters: int = 0, from_below: bool = False) -> tuple[Spot, ...]:
    """The positions as seen by the person: mirrored left for right when from below, then turned clockwise."""
    spots = []
    for place in layout.places:
        x, y = (-place.x if from_below else place.x), place.y
        for _ in range(quarters % 4):
            x, y = -y, x
        spots.append(Spot(place.position, x, y))
    return tuple(spots)


def edges(layout: Layout, quarters: int = 0, from_below: bool = False) -> dict[str, str]:
    """Name what lies at each side of the turned picture: above, right, below, left."""
    swap = {"left": "right", "right": "left"} if from_below else {}
    return {
        _EDGES[(_EDGES.index(swap.get(edge, edge)) + quarters) % 4]: printable(text)
        for edge, text in layout.edges.items()
        if edge in _EDGES
    }


def placed(
    layout: Layout,
    width: int,
    height: int,
    quarters: int = 0,
    from_below: bool = False,
    signs: Mapping[str, str] | None = None,
) -> Placed:
    """Every position with its cell. Fits the window where that can be read, else grows beyond it.

    `signs` are put behind the labels of their positions.
    """
    spots = turned(layout, quarters, from_below)
    if not spots:
        return Placed((), 0, 0)
    labels = {s.position: shown_label(s.position) + (signs or {}).get(s.position, "") for s in spots}
    pitch = max(map(cell_len, labels.values())) + 2  # the mark or '[' before it, a blank or ']' behind it
    if layout.kind == "line" and quarters % 2 == 0 and len(spots) * pitch > width:
        spots = _wrapped(spots, max(1, width // pitch))
    cells = _laid_out(layout.kind, spots, labels, pitch, width, height)
    return Placed(cells, max(c.column for c in cells) + pitch, max(c.line for c in cells) + 1)


def _laid_out(
    kind: str, spots: Sequence[Spot], labels: Mapping[str, str], pitch: int, width: int, height: int
) -> tuple[Cell, ...]:
    if kind in ("rows", "line"):
        return placed_at(spots, labels, _grid_scale(spots, pitch, width, height))
    scale = _fitting_scale(spots, pitch, width, height)
    if scale is not None:
        return placed_at(spots, labels, scale)
    if kind == "circle":
        return _ring(spots, labels, pitch, width, height)
    cells = placed_at(spots, labels, _grown_scale(spots, pitch))
    return cells if _legible(cells, pitch) else _pushed_apart(cells, pitch)


def shown_label(position: str) -> str:
    """The label as it stands on the map."""
    text = printable(position)
    if cell_len(text) <= LONGEST_LABEL:
        return text
    while cell_len(text) >= LONGEST_LABEL:
        text = text[1:]
    return f"…{text}"


def _wrapped(spots: Sequence[Spot], each: int) -> tuple[Spot, ...]:
    """Positions without a picture, in lines as text runs."""
    in_order = sorted(spots, key=lambda spot: spot.x)
    return tuple(Spot(s.position, float(i % each), float(i // each)) for i, s in enumerate(in_order))


def spans(spots: Iterable[Spot]) -> tuple[float, float]:
    """Give how far they reach, across and down."""
    xs, ys = zip(*((spot.x, spot.y) for spot in spots), strict=True)
    return max(xs) - min(xs), max(ys) - min(ys)


def _grid_scale(spots: Sequence[Spot], pitch: int, width: int, height: int) -> Scale:
    across, down = spans(spots)
    columns = (width - pitch) // across if across else pitch
    lines = (height - 1) // down if down else 1
    roomy = height >= _ROOMY
    return Scale(min(max(columns, pitch), pitch + _WIDE[roomy]), min(max(lines, 1), _HIGH[roomy]))


def _fitting_scale(spots: Sequence[Spot], pitch: int, width: int, height: int) -> Scale | None:
    """The largest scale that fits and can be read: round if possible, else flattened."""
    across, down = spans(spots)
    columns = (width - pitch) / across if across else math.inf
    lines = (height - 1) / down if down else math.inf
    if math.isinf(columns) and math.isinf(lines):
        return Scale(1, 1) if len(spots) == 1 else None
    round_one = min(columns, 2 * lines, _comfortable(spots, pitch + _NEAR[height >= _ROOMY]))
    flat = Scale(min(columns, _STEEPEST * lines), min(lines, columns / _FLATTEST))
    tried = (Scale(round_one, _evenly(round_one / 2, down)), flat, *_flatter(flat, columns, down))
    return next((scale for scale in tried if _reads(spots, scale, pitch)), None)


def _flatter(flat: Scale, columns: float, down: float) -> Iterator[Scale]:
    """Give ever wider scales up to so many columns: an ellipse still shows a circle, a rectangle does not."""
    wide, lines = flat.columns, _evenly(flat.lines, down)
    while 0 < wide * _GROWTH <= columns < math.inf:
        wide *= _GROWTH
        yield Scale(wide, lines)


def _evenly(lines: float, down: float) -> float:
    """The scale with a line exactly in the middle, where the picture is high enough to have one."""
    steps = math.floor(lines * down + _HAIR)
    return (steps - 1) / down if steps > 2 and steps % 2 else lines


def _grown_scale(spots: Sequence[Spot], pitch: int) -> Scale:
    """The smallest scale at which everything can be read, larger than the window; at most a line of all of them."""
    across, down = spans(spots)
    most = pitch * len(spots) / max(across, down, 1 / pitch)
    columns = 1 / max(across, down, 1)
    while columns < most and not _reads(spots, Scale(columns, columns / 2), pitch):
        columns *= _GROWTH
    return Scale(columns, columns / 2)


def _ring(spots: Sequence[Spot], labels: Mapping[str, str], pitch: int, width: int, height: int) -> tuple[Cell, ...]:
    """Many positions of a circle along the rim of the window, in their order and on their side; wider if need be."""
    lines = max(2, height)
    across = max(2, width // pitch, math.ceil((len(spots) - 2 * (lines - 2)) / 2))
    rim = _rim(across, lines)
    x, y = (sum(values) / len(spots) for values in zip(*((s.x, s.y) for s in spots), strict=True))
    in_order = sorted(spots, key=lambda s: round(math.atan2(s.x - x, y - s.y) % math.tau, 3) % _FULL_TURN)
    each = len(rim) / len(spots)
    cells = {}
    for number, spot in enumerate(in_order):
        column, line = rim[int(number * each)]
        cells[spot.position] = Cell(spot.position, labels[spot.position], column * pitch, line)
    return tuple(cells[spot.position] for spot in spots)


def _rim(across: int, lines: int) -> list[tuple[int, int]]:
    """The places along a rim, clockwise from the middle of its upper side."""
    upper = [(column, 0) for column in range(across)]
    right = [(across - 1, line) for line in range(1, lines - 1)]
    lower = [(column, lines - 1) for column in reversed(range(across))]
    left = [(0, line) for line in reversed(range(1, lines - 1))]
    middle = (across - 1) // 2
    return [*upper[middle:], *right, *lower, *left, *upper[:middle]]


def _comfortable(spots: Sequence[Spot], apart: int) -> float:
    """The scale beyond which neighbours stand so far apart that the eye loses the picture."""
    nearest = min(
        (math.dist((a.x, a.y), (b.x, b.y)) for a, b in itertools.pairwise(spots)),
        default=1.0,
    )
    return apart / nearest if nearest > 0 else math.inf


def _reads(spots: Sequence[Spot], scale: Scale, pitch: int) -> bool:
    return _legible(placed_at(spots, {}, scale), pitch)


def placed_at(spots: Sequence[Spot], labels: Mapping[str, str], scale: Scale) -> tuple[Cell, ...]:
    """Cells counted from the picture's left and upper end."""
    columns = _steps([spot.x for spot in spots], scale.columns)
    lines = _steps([spot.y for spot in spots], scale.lines)
    return tuple(
        Cell(spot.position, labels.get(spot.position, ""), column, line)
        for spot, column, line in zip(spots, columns, lines, strict=True)
    )


def _steps(values: Sequence[float], scale: float) -> list[int]:
    """Whole steps from the least value on; what lies even about the middle stays so."""
    least, most = min(values), max(values)
    middle, all_steps = (least + most) / 2, math.floor((most - least) * scale + 0.5)

    def from_end(value: float) -> int:
        return math.floor(all_steps / 2 - (value - middle) * scale + 0.5 + _HAIR)

    return [all_steps - from_end(value) if value > middle else from_end(2 * middle - value) for value in values]


def _legible(cells: Sequence[Cell], pitch: int) -> bool:
    """True where no two cells of a line touch."""
    in_order = sorted((cell.line, cell.column) for cell in cells)
    return all(a[0] != b[0] or b[1] - a[1] >= pitch for a, b in itertools.pairwise(in_order))


def _pushed_apart(cells: Sequence[Cell], pitch: int) -> tuple[Cell, ...]:
    """The cells with those that would stand on each other pushed to the right."""
    free: dict[int, int] = {}
    apart = {}
    for cell in sorted(cells, key=lambda cell: (cell.line, cell.column)):
        column = max(cell.column, free.get(cell.line, 0))
        free[cell.line] = column + pitch
        apart[cell.position] = Cell(cell.position, cell.label, column, cell.line)
    return tuple(apart[cell.position] for cell in cells)
