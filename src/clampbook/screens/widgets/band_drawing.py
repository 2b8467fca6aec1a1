"""Deviations drawn against the band that is permitted, in signs of a terminal: pure, from values to rows."""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Decimal
from typing import Final

from msgspec import Struct
from rich.cells import cell_len

from clampbook.figures import plain

Piece = tuple[str, str]  # a text and its tone: "" ink, "quiet", "over", "bold"
Row = tuple[Piece, ...]
_GAP: Final = 2  # cells between two groups
_PITCH: Final = 2  # cells from one pull to the next where there is room
_CAPTION: Final = 12  # cells of the longest caption that widens its group
_ZERO, _LIMIT, _REACH, _TO_COME = "─", "╌", "│", "·"
LEAST_ROWS: Final = 5


class Dot(Struct, frozen=True):
    """One pull, or several at once: `value` is the deviation in percent, None where it is still to come.

    `least` and `most` are the ends of what several pulls showed; `now` is the one that came last.
    """

    value: Decimal | None
    sign: str = "●"
    least: Decimal | None = None
    most: Decimal | None = None
    now: bool = False


class Lot(Struct, frozen=True):
    """Pulls that belong together, with a caption of as many lines as every other lot has."""

    dots: tuple[Dot, ...]
    caption: tuple[str, ...] = ()


class Band(Struct, frozen=True):
    """A whole picture: all lots, and what is permitted in percent either way."""

    lots: tuple[Lot, ...]
    permissible: Decimal

    @property
    def captions(self) -> int:
        """Lines below the picture."""
        return max((len(lot.caption) for lot in self.lots), default=0)


def drawn(band: Band, width: int, height: int) -> tuple[Row, ...]:
    """The picture in so many cells, its captions included: what is inside the band never stands beyond its edge, and
    what is outside never on it. Lots for which there is no room are left out, the last one with a pull never.
    """
    label = f"+{plain(band.permissible)} %"
    room = width - len(label) - 1
    lots = _fitting(band.lots, room)
    pitch = _PITCH if _columns(lots, _PITCH) <= room else 1
    half = max((height - band.captions - 1) // 2, 1)
    edge = _edge(band, half)
    grid = [[" "] * room for _ in range(2 * half + 1)]
    tones: dict[tuple[int, int], str] = {}
    _lines(grid, tones, half, edge)
    at, captions = 0, [[" "] * room for _ in range(band.captions)]
    for lot in lots:
        for number, dot in enumerate(lot.dots):
            _put(grid, tones, at + number * pitch, dot, band.permissible, half, edge)
        wide = _width(lot, pitch)
        for line, text in enumerate(lot.caption):
            captions[line][at : at + wide] = _cut(text, wide).ljust(wide)
        at += wide + _GAP
    rows = [_row(_label(row, half, edge, label), cells, row, tones) for row, cells in enumerate(grid)]
    under = [((" " * (len(label) + 1) + "".join(cells).rstrip(), "quiet"),) for cells in captions]
    return (*rows, *under)


def plain_rows(rows: tuple[Row, ...]) -> tuple[str, ...]:
    """The same without its tones."""
    return tuple("".join(text for text, _ in row).rstrip() for row in rows)


def _edge(band: Band, half: int) -> int:
    """Rows from the middle to the edge of the band: fewer where room is needed for what lies far outside, but never so
    few that the band itself cannot be read; what lies farther stands in the outermost row."""
    farthest = max(
        (
            abs(end)
            for lot in band.lots
            for dot in lot.dots
            for end in (dot.value, dot.least, dot.most)
            if end is not None
        ),
        default=Decimal(0),
    )
    if farthest <= band.permissible:
        return half
    return max(1, half // 2, min(half - 1, int(half * band.permissible / farthest)))


def _lines(grid: list[list[str]], tones: dict[tuple[int, int], str], half: int, edge: int) -> None:
    for row, sign in ((half, _ZERO), (half - edge, _LIMIT), (half + edge, _LIMIT)):
        grid[row] = [sign] * len(grid[row])
        for column in range(len(grid[row])):
            tones[row, column] = "quiet"


def _put(
    grid: list[list[str]],
    tones: dict[tuple[int, int], str],
    column: int,
    dot: Dot,
    permissible: Decimal,
    half: int,
    edge: int,
) -> None:
    if column >= len(grid[0]):
        return
    if dot.value is None:
        grid[half][column] = _TO_COME
        return

    def row_of(value: Decimal) -> int:
        return half - _rows_up(value, permissible, half, edge)

    if dot.least is not None and dot.most is not None:
        for row in range(row_of(dot.most), row_of(dot.least) + 1):
            grid[row][column], tones[row, column] = _REACH, "quiet"
    row = row_of(dot.value)
    grid[row][column] = dot.sign
    tones[row, column] = "over" if abs(dot.value) > permissible else "bold" if dot.now else ""


def _rows_up(value: Decimal, permissible: Decimal, half: int, edge: int) -> int:
    rows = int((abs(value) * edge / permissible).to_integral_value(ROUND_HALF_UP))
    if abs(value) > permissible:
        rows = min(half, max(edge + 1, rows))
    elif abs(value) < permissible:
        rows = min(max(edge - 1, 0), rows)  # on the edge stands only what is at its very end
    return -rows if value < 0 else rows


def _label(row: int, half: int, edge: int, label: str) -> str:
    match half - row:
        case 0:
            text = "0"
        case up if up == edge:
            text = label
        case up if up == -edge:
            text = f"−{label[1:]}"
        case _:
            text = ""
    return f"{text:>{len(label)}} "


def _row(label: str, cells: list[str], row: int, tones: dict[tuple[int, int], str]) -> Row:
    pieces: list[Piece] = [(label, "quiet")]
    for column, sign in enumerate(cells):
        tone = tones.get((row, column), "")
        if pieces[-1][1] == tone and len(pieces) > 1:
            pieces[-1] = (pieces[-1][0] + sign, tone)
        else:
            pieces.append((sign, tone))
    return tuple(pieces)


def _fitting(lots: tuple[Lot, ...], room: int) -> tuple[Lot, ...]:
    """Those for which there is room: first the ones before the last pull go, then the ones behind it."""
    kept = list(lots)
    while len(kept) > 1 and _columns(kept, 1) > room:
        begun = [number for number, lot in enumerate(kept) if any(dot.now for dot in lot.dots)]
        kept.pop(0 if (begun and begun[-1] > 0) or not begun else -1)
    return tuple(kept)


def _columns(lots: list[Lot] | tuple[Lot, ...], pitch: int) -> int:
    return sum(_width(lot, pitch) for lot in lots) + _GAP * (len(lots) - 1)


def _width(lot: Lot, pitch: int) -> int:
    longest = max((cell_len(text) for text in lot.caption), default=0)
    return max((len(lot.dots) - 1) * pitch + 1, min(longest, _CAPTION))


def _cut(text: str, width: int) -> str:
    return text if len(text) <= width else f"{text[: width - 1]}…"
