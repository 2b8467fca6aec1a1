"""Short rows laid out in panels beside each other, as many as the page is wide, read downwards in blocks."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from clampbook.record.pages.blocks import Plain, Readings
from clampbook.record.pages.widths import HALF, WHOLE, wide

_GAP = 1.0  # em between two columns
_BETWEEN = 2.2  # em between two panels
_MOST_PANELS = 4
_BLOCK = 24  # rows that are read downwards before the eye goes back to the left


def side_by_side(head: tuple[str, ...], lines: Sequence[tuple[str, ...]], points: tuple[int, ...]) -> Readings:
    """The lines in as many panels as fit; `points` are the columns of numbers."""
    full = wide_of(head, lines)
    beside = max(1, min(_MOST_PANELS, int((WHOLE + _BETWEEN) // (full + _BETWEEN)), len(lines)))
    beside = -(-len(lines) // -(-len(lines) // beside))  # none of them empty
    return Readings(head, points, tuple(_laid(lines, beside)), beside, _BLOCK)


def wide_of(head: Sequence[str], lines: Sequence[Sequence[str]]) -> float:
    """Give the width of one panel, in em."""
    return sum(max(map(wide, each)) for each in zip(head, *lines, strict=True)) + _GAP * (len(head) - 1)


def narrow(blocks: Sequence[Plain], most: int) -> list[Plain] | None:
    """The same blocks where their table, in one panel, is short and fits half a page; None where it does not."""
    found: list[Plain] = []
    for block in blocks:
        if isinstance(block, Readings):
            lines = unlaid(block)
            if len(lines) > most or wide_of(block.head, lines) > HALF:
                return None
            block = Readings(block.head, block.points, tuple(lines), 1, block.every)
        found.append(block)
    return found


def unlaid(block: Readings) -> list[tuple[str, ...]]:
    """The rows of all panels below each other, in the order in which they are read."""
    width, found = len(block.head), []
    for begin in range(0, len(block.rows), block.every):
        part = block.rows[begin : begin + block.every]
        for panel in range(block.panels):
            cells = (row[panel * width : (panel + 1) * width] for row in part)
            found += [each for each in cells if any(each)]
    return found


def _laid(lines: Sequence[tuple[str, ...]], beside: int) -> Iterator[tuple[str, ...]]:
    nothing = ("",) * len(lines[0])
    for begin in range(0, len(lines), _BLOCK * beside):
        block = lines[begin : begin + _BLOCK * beside]
        high = -(-len(block) // beside)
        for row in range(high):
            places = (row + high * panel for panel in range(beside))
            yield tuple(cell for at in places for cell in (block[at] if at < len(block) else nothing))
