"""How much of a question a screen has room for: from the size to the height of the figures and the lines that fit."""

from __future__ import annotations

import textwrap
from functools import lru_cache

from msgspec import Struct
from rich.cells import cell_len

from clampbook.screens.shown import Figure, Shown
from clampbook.screens.widgets.bottom_line import KeyHint, arranged
from clampbook.screens.widgets.figures import HEIGHTS, MIDDLE, SMALL, TALL, covers, width_of
from clampbook.text import printable

WIDE, HIGH, LOW = 60, 30, 20  # columns, rows, rows
_GAP = "     "
_LEAST_MAP = 5  # rows; a smaller map says less than the words do
_NARROW_GAP, _KEPT_GAP = 2, 4
_TOLD_BY_THE_HELP = frozenset({"F2", "Backspace"})


class Room(Struct, frozen=True):
    """What fits: the height of the figures (None: plain bold text), the columns of the number for the hand, whether
    what was stored last fits beside it in the same figures, the short lines, the rows of a list, the last readings in
    a line, the map, and the keys that are shown."""

    figures: int | None
    hand: int
    kept: bool
    lines: tuple[str, ...]
    listed: int
    readings: bool
    map: bool
    keys: tuple[KeyHint, ...]


@lru_cache(maxsize=64)
def packed(lines: tuple[str, ...], width: int) -> tuple[str, ...]:
    """Short lines side by side as long as they fit, each whole; one that is too long is wrapped."""
    rows: list[str] = []
    for line in map(printable, lines):
        if rows and cell_len(rows[-1]) + len(_GAP) + cell_len(line) <= width:
            rows[-1] += f"{_GAP}{line}"
        else:
            rows += wrapped((line,), width)
    return tuple(rows)


@lru_cache(maxsize=64)
def wrapped(lines: tuple[str, ...], width: int) -> tuple[str, ...]:
    """Each line by itself, broken where it is too long."""
    return tuple(
        row
        for line in map(printable, lines)
        for row in textwrap.wrap(line, max(width, 10), subsequent_indent="  ", break_on_hyphens=False) or [""]
    )


def room(shown: Shown, width: int, height: int, notice: str, kept: str = "") -> Room:
    """What of a question fits into so many columns and rows; `kept` is the number that was stored last."""
    inner = max(10, width - 2)
    keys = brief(shown.keys) if height < LOW else shown.keys
    used = 1 + _rows(shown.sentence, inner) + len(arranged(keys, inner)[0])
    used += (_rows(notice, inner) if notice else 0) + (shown.field is not None) + (shown.waiting is not None)
    left = height - used
    readings = shown.picture and width >= WIDE and height >= LOW
    left -= readings and shown.field is None
    large = shown.hand is not None or shown.position is not None
    tall = _tall(shown, inner, height, left) if large else None
    left -= (tall or 1) + 1 if large else 0
    lines = (packed(shown.lines, inner) if large else wrapped(shown.lines, inner))[: max(left, 0)]
    left -= len(lines)
    listed = sum(_rows(f"{choice.key}  {choice.text}", inner - 2) for choice in shown.choices) + len(shown.items)
    fits = shown.picture and width >= WIDE and height >= LOW and left - listed >= _LEAST_MAP
    hand = _hand_columns(shown, tall, inner)
    return Room(tall, hand, _beside(shown, tall, hand, inner, kept), lines, max(left, 2), readings, fits, keys)


def brief(keys: tuple[KeyHint, ...]) -> tuple[KeyHint, ...]:
    """The keys of the question itself and the ways to all others; the rest is told by the help."""
    return tuple(hint for hint in keys if hint.key not in _TOLD_BY_THE_HELP)


@lru_cache(maxsize=256)
def _rows(text: str, width: int) -> int:
    return len(textwrap.wrap(printable(text), width, break_on_hyphens=False)) or 1


def _tall(shown: Shown, width: int, height: int, left: int) -> int | None:
    """The tallest figures in which number and position stand equally large beside each other."""
    hand, position = shown.hand, shown.position
    most = TALL if height >= HIGH else MIDDLE if left >= MIDDLE + 2 else SMALL
    texts = [figure.text for figure in (hand, position) if figure is not None]
    if not all(map(covers, texts)):
        return None
    beside = cell_len(hand.beside) + 2 if hand is not None and hand.beside and width >= WIDE else 0
    room = width - beside - _NARROW_GAP * (len(texts) - 1)
    return next((tall for tall in HEIGHTS if tall <= most and sum(width_of(t, tall) for t in texts) <= room), None)


def _hand_columns(shown: Shown, tall: int | None, width: int) -> int:
    """Columns of the number for the hand, so that the position has what it needs beside it."""
    hand, position = shown.hand, shown.position
    if hand is None:
        return 0
    if position is None:
        return width
    if tall is None:
        return width // 2
    drawn = width_of(hand.text, tall) + (cell_len(hand.beside) + 2 if hand.beside and width >= WIDE else 0)
    wanted = max(drawn + _NARROW_GAP, cell_len(caption(hand, width)) + 1, width // 2 if width >= WIDE else 0)
    return min(wanted, width - max(width_of(position.text, tall), cell_len(position.caption)))


def caption(figure: Figure, width: int) -> str:
    """What stands below a figure; where there is no room beside it, its unit too."""
    return f"{figure.caption} {figure.beside}".strip() if width < WIDE else figure.caption


def _beside(shown: Shown, tall: int | None, hand: int, width: int, kept: str) -> bool:
    """Whether what was stored last can be repeated in figures of the same size."""
    if not kept or tall is None or shown.position is None or not covers(kept):
        return False
    return hand + width_of(shown.position.text, tall) + _KEPT_GAP + width_of(kept, tall) <= width
