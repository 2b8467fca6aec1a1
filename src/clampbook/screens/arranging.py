"""How much of a question a screen has room for: from the size to the height of the figures and the lines that fit."""

from __future__ import annotations

import textwrap
from dataclasses import dataclass

from rich.cells import cell_len

from clampbook.screens.shown import Figure, Shown
from clampbook.screens.widgets.bottom_line import arranged
from clampbook.screens.widgets.figures import MIDDLE, SMALL, TALL, tallest, width_of
from clampbook.text import printable

WIDE, HIGH, LOW = 60, 30, 20  # columns, rows, rows
_GAP = "     "
_LEAST_MAP = 5  # rows; a smaller map says less than the words do
_NARROW_GAP = 2


@dataclass(frozen=True, slots=True)
class Room:
    """What fits: the height of the figures (None: plain bold text), columns of the number for the hand, the short lines
    packed, whether the map has room, and whether a stored value fits beside the figures."""

    figures: int | None
    hand_columns: int
    lines: tuple[str, ...]
    map: bool


def packed(lines: tuple[str, ...], width: int) -> tuple[str, ...]:
    """Short lines side by side as long as they fit, each whole; one that is too long is wrapped."""
    rows: list[str] = []
    for line in map(printable, lines):
        if rows and cell_len(rows[-1]) + len(_GAP) + cell_len(line) <= width:
            rows[-1] += f"{_GAP}{line}"
        else:
            rows += wrapped((line,), width)
    return tuple(rows)


def wrapped(lines: tuple[str, ...], width: int) -> tuple[str, ...]:
    """Each line by itself, broken where it is too long."""
    return tuple(
        row
        for line in map(printable, lines)
        for row in textwrap.wrap(line, max(width, 10), subsequent_indent="  ", break_on_hyphens=False) or [""]
    )


def room(shown: Shown, width: int, height: int, notice: str) -> Room:
    """What of a question fits into so many columns and rows."""
    inner = max(10, width - 2)
    sentence = len(textwrap.wrap(printable(shown.sentence), inner, break_on_hyphens=False)) or 1
    told = len(textwrap.wrap(printable(notice), inner, break_on_hyphens=False)) if notice else 0
    keys = len(arranged(shown.keys, inner)[0])
    entry = 1 if shown.field is not None else 0
    left = height - 1 - sentence - told - keys - entry
    has_figures = shown.hand is not None or shown.position is not None
    tall = _tall(shown, inner, height, left) if has_figures else None
    hand = _hand_columns(shown.hand, tall, inner)
    if has_figures:
        left -= (tall or 1) + 1
    lines = (packed(shown.lines, inner) if has_figures else wrapped(shown.lines, inner))[: max(left, 0)]
    left -= len(lines)
    listed = len(shown.choices) + len(shown.items)
    fits = width >= WIDE and height >= LOW and left - listed >= _LEAST_MAP
    return Room(tall, hand, lines, shown.picture and fits)


def _tall(shown: Shown, width: int, height: int, left: int) -> int | None:
    """The tallest figures in which number and position stand equally large beside each other."""
    hand, position = shown.hand, shown.position
    beside = cell_len(hand.beside) + 2 if hand is not None and hand.beside and width >= WIDE else 0
    text = "  ".join(figure.text for figure in (hand, position) if figure is not None)
    most = TALL if height >= HIGH else MIDDLE if left >= MIDDLE + 2 else SMALL
    return tallest(((text, width - beside - _NARROW_GAP),), most)


def _hand_columns(hand: Figure | None, tall: int | None, width: int) -> int:
    if hand is None:
        return 0
    if tall is None:
        return width // 2
    drawn = width_of(hand.text, tall)
    if width < WIDE:
        return drawn + _NARROW_GAP
    return min(max(drawn + (cell_len(hand.beside) + 2 if hand.beside else 0) + 4, width // 2), width)
