"""The readings, drawn in their window: along one line, or as a run from pull to pull. Pure, from values to rows."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import ROUND_HALF_UP, Decimal
from typing import Final

from rich.cells import cell_len

from clampbook.figures import plain
from clampbook.run.told.words import Band, Read
from clampbook.screens.widgets.drawn_rows import Part, Row
from clampbook.screens.widgets.marks import sign, tone
from clampbook.text import printable
from clampbook.units import behind

LEAST_RUN: Final = (24, 7)  # columns and rows; a smaller run says less than a line
_BEYOND: Final = 9  # columns for what stands under the window, and over it
_LIST: Final = 26  # columns for the last readings in words
_BAR: Final = (8, 41)  # columns of the window at least, and at most
_GAP, _WIDE, _FEW = "   ", 60, 2


def line(band: Band, reads: Sequence[Read], width: int) -> Row:
    """The window from end to end with its target, what was read within, what lies beyond it beyond its ends, and the
    last readings behind it: on a narrow screen the newest alone, so that its mark is nobody else's."""
    alone = band.found is not None and len(reads) < _FEW
    if width >= _WIDE:
        return _line(band, reads, width, () if alone else _listed(reads, _LIST), _LIST * (not alone))
    newest = _listed(reads[-1:], _LIST) if reads and not alone and _inside(reads[-1], band) else ()
    room = sum(cell_len(text) for text, _ in newest)
    ends = f"{_end(band.low)} ├┤ {_with_unit(_end(band.high), printable(band.unit))}{_GAP}"
    beyond = "".join(_beyond(reads, side, band, numbered=False) for side in ("under", "over"))
    fits = cell_len(ends) + _BAR[0] + cell_len(beyond) + room <= width
    return _line(band, reads, width, newest, room) if fits else _line(band, reads, width, (), 0)


def _line(band: Band, reads: Sequence[Read], width: int, listed: tuple[Part, ...], room: int) -> Row:
    """The same with the readings `listed` behind it, for which there is so much `room`."""
    low, high, unit = _end(band.low), _end(band.high), printable(band.unit)
    wide = width >= _WIDE
    ends = f"{low} ├┤ {_with_unit(high, unit)}"
    under, over = _both_beyond(reads, band, width - cell_len(ends) - _BAR[0], numbered=not listed)
    before = max(_BEYOND, cell_len(under)) if wide else cell_len(under)
    last = f" {_with_unit(high, unit)}"
    after = cell_len(last) + cell_len(over)
    free = width - before - cell_len(low) - after - 3 - (room + len(_GAP) if room else 0)
    bar = max(_BAR[0], min(_BAR[1], free))
    row = [(f"{under:>{before}}", _look(reads, "under", band)), (f"{low} ", "quiet"), *_bar(band, reads, bar)]
    row += [(last, "quiet"), (over, _look(reads, "over", band))]
    return _cut([*row, (_GAP, ""), *listed] if listed else row, width)


def run(band: Band, reads: Sequence[Read], width: int, height: int) -> tuple[Row, ...]:
    """The readings from pull to pull between the lines of the window, each over its position."""
    named = {printable(read.position) for read in reads}
    pitch = max(3, *(cell_len(name) + 1 for name in named)) if named else 3
    labels = [_end(band.high), _end(band.target), _end(band.low)]
    before = max(map(cell_len, labels)) + 1
    room = width - before
    reads = reads[-max(1, (room - 7) // pitch) :]
    top, foot = 1, height - 3
    grid = [[(" ", "")] * room for _ in range(height - 1)]
    lines = {top: (labels[0], "─", band.high), foot: (labels[2], "─", band.low)}
    if band.target is not None and band.low is not None and band.high is not None:
        lines[_row(band, band.target, top, foot)] = (labels[1], "╌", band.target)
    for row, (_, stroke, value) in lines.items():
        if value is not None:
            grid[row] = [(stroke, "quiet")] * room
    for at, read in enumerate(reads):
        row, column = _row_of(band, read, top, foot), at * pitch + pitch // 2
        newest = at == len(reads) - 1
        grid[row][column] = (sign(read.mark), _tone(read, newest=newest))
        if newest:
            _write(grid[row], column + 2, printable(read.text), "bold")
    drawn = [
        ((f"{lines[row][0] if row in lines else '':>{before - 1}} ", "quiet"), *_joined(cells))
        for row, cells in enumerate(grid)
    ]
    names = "".join(printable(read.position).center(pitch) for read in reads)
    return (*drawn, ((" " * before, ""), (names.rstrip(), "quiet")))


def plain_row(row: Row) -> str:
    """The same without its tones."""
    return "".join(text for text, _ in row).rstrip()


def _end(value: Decimal | None) -> str:
    return "" if value is None else plain(value)


def _with_unit(number: str, unit: str) -> str:
    return f"{number}{behind(unit)}"


def _tone(read: Read, *, newest: bool) -> str:
    found = tone(read.mark)
    return found if found not in ("ink", "quiet") else "bold" if newest else ""


def _inside(read: Read, band: Band) -> bool:
    """Tell whether it is drawn between the ends: what was judged decides, then where it lies."""
    if read.mark in ("under", "over"):
        return False
    return (band.low is None or read.value >= band.low) and (band.high is None or read.value <= band.high)


def _share(band: Band, value: Decimal) -> Decimal:
    """Give how far along a window a value lies, from 0 to 1; with one end, its target is the middle, and what has none
    and is only to be small begins at nothing."""
    low, high = band.low, band.high
    if low is None or high is None:
        end = high if low is None else low
        assert end is not None
        if low is None and band.target is None and end > 0:
            return min(max(value / end, Decimal(0)), Decimal(1))
        reach = abs(end - band.target) * 2 if band.target is not None and band.target != end else abs(end) / 10
        reach = reach or Decimal(1)
        low, high = (end - reach, end) if low is None else (end, end + reach)
    share = (value - low) / (high - low) if high != low else Decimal("0.5")
    return min(max(share, Decimal(0)), Decimal(1))


def _steps(share: Decimal, most: int) -> int:
    return int((share * most).to_integral_value(ROUND_HALF_UP))


def _bar(band: Band, reads: Sequence[Read], columns: int) -> list[Part]:
    inner: list[Part] = [("─", "quiet")] * columns
    if band.target is not None:
        inner[_steps(_share(band, band.target), columns - 1)] = ("┼", "quiet")
    for read in reads:
        if _inside(read, band):
            inner[_steps(_share(band, read.value), columns - 1)] = (
                sign(read.mark),
                _tone(read, newest=read is reads[-1]),
            )
    ends = ("╌" if band.low is None else "├", "╌" if band.high is None else "┤")
    return [(ends[0], "quiet"), *_joined(inner), (ends[1], "quiet")]


def _outside(reads: Sequence[Read], side: str, band: Band) -> Read | None:
    """The latest reading beyond one end."""
    found = (read for read in reversed(reads) if not _inside(read, band) and _side(read, band) == side)
    return next(found, None)


def _beyond(reads: Sequence[Read], side: str, band: Band, *, numbered: bool) -> str:
    """The mark of the latest reading beyond one end, with its number where that is said nowhere else."""
    read = _outside(reads, side, band)
    if read is None:
        return ""
    told = f"{sign(read.mark)} {printable(read.text)}" if numbered else sign(read.mark)
    return f"{told}  " if side == "under" else f"  {told}"


def _both_beyond(reads: Sequence[Read], band: Band, room: int, *, numbered: bool) -> tuple[str, str]:
    """The marks beyond both ends: with their numbers where those fit whole, else with that of the newest, or none."""
    sides = ("under", "over")
    newest = [bool(reads) and _outside(reads, side, band) is reads[-1] for side in sides]
    tries = ([numbered, numbered], [numbered and each for each in newest], [False, False])
    for those in tries:
        under, over = (_beyond(reads, side, band, numbered=each) for side, each in zip(sides, those, strict=True))
        if cell_len(under) + cell_len(over) <= room:
            break
    return under, over


def _look(reads: Sequence[Read], side: str, band: Band) -> str:
    read = _outside(reads, side, band)
    return "" if read is None else _tone(read, newest=read is reads[-1])


def _side(read: Read, band: Band) -> str:
    if read.mark in ("under", "over"):
        return read.mark
    return "under" if band.low is not None and read.value < band.low else "over"


def _listed(reads: Sequence[Read], room: int) -> tuple[Part, ...]:
    """As many of the last readings as fit, the newest bold."""
    kept: list[Part] = []
    for read in reversed(reads):
        shape = f"{sign(read.mark)} " if read.mark != "within" else ""
        told = f"{printable(read.position)} {shape}{printable(read.text)}"
        gap = _GAP if kept else ""
        if sum(cell_len(text) for text, _ in kept) + cell_len(told + gap) > room:
            break
        kept = [(told, "quiet" if kept else "bold"), *([(gap, "")] if gap else []), *kept]
    return tuple(kept)


def _row_of(band: Band, read: Read, top: int, foot: int) -> int:
    if _inside(read, band):
        return _row(band, read.value, top, foot)
    return top - 1 if _side(read, band) == "over" else foot + 1


def _row(band: Band, value: Decimal, top: int, foot: int) -> int:
    """The row of a value within: on an end stands only what is at that very end."""
    share = _share(band, value)
    up = _steps(share, foot - top)
    if Decimal(0) < share < Decimal(1):
        up = min(max(up, 1), foot - top - 1)
    return foot - up


def _write(cells: list[Part], column: int, text: str, look: str) -> None:
    for at, letter in enumerate(text, start=column):
        if at < len(cells):
            cells[at] = (letter, look)


def _joined(cells: Sequence[Part]) -> list[Part]:
    parts: list[Part] = []
    for text, look in cells:
        if parts and parts[-1][1] == look:
            parts[-1] = (parts[-1][0] + text, look)
        else:
            parts.append((text, look))
    return parts


def _cut(row: Sequence[Part], width: int) -> Row:
    cut: list[Part] = []
    for text, look in row:
        room = width - sum(cell_len(each) for each, _ in cut)
        if room > 0:
            cut.append((text[:room], look))
    return tuple(cut)
