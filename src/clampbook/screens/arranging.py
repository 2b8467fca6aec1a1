"""The room that a screen has for a question: from the size to the height of the figures and the lines that fit."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Callable
from functools import lru_cache

from msgspec import Struct
from rich.cells import cell_len

from clampbook.run.told import clamp_loads
from clampbook.run.told.torques import WINDOW
from clampbook.run.told.words import Figure
from clampbook.screens.shown import Shown
from clampbook.screens.widgets.bottom_line import KeyHint, arranged
from clampbook.screens.widgets.figures import HEIGHTS, MIDDLE, SMALL, TALL, covers, width_of
from clampbook.text import printable

WIDE, HIGH, LOW = 60, 30, 20  # columns, rows, rows
_GAP, _INDENT = "     ", "  "
_LEAST_MAP = 5  # rows; a smaller map says less than the words do
_SPREAD = 3  # empty rows that part figures, field and map where rows abound
_GOOD_MAP = 9  # rows from which on a map of three rows stands at ease
Rows = tuple[str, ...]
GAP = 4  # columns between two figures, so that no two of them read as one number
LAST_READING = "last reading"  # how the line begins that tells what the notice tells too, right after it was stored
_TOLD_BY_THE_HELP = frozenset({"F2", "Backspace"})


class Large(Struct, frozen=True):
    """The stand of the figures: their height (None: plain bold text), the columns of the number for the hand,
    whether its unit stands in its caption, whether the position stands below it or not at all, and whether what was
    stored last stands beside them in the same figures."""

    tall: int | None = None
    hand: int = 0
    unit_below: bool = False
    stacked: bool = False
    place: bool = True
    kept: bool = False

    @property
    def rows(self) -> int:
        """Rows with the captions."""
        return ((self.tall or 1) + 1) * (2 if self.stacked else 1)


class Room(Struct, frozen=True):
    """The parts that fit: the figures, the short lines, the rows of a list and whether an empty one stands above it,
    the last readings in a line, the map, and the keys that are shown."""

    figures: Large
    lines: tuple[str, ...]
    listed: int
    apart: bool
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
    """Each line by itself, broken where it is too long: between words, and within a path behind its parts."""
    return tuple(row for line in map(printable, lines) for row in _broken(line, max(width, 10)))


def _broken(line: str, width: int) -> list[str]:
    rows = [""]
    for word in line.split(" "):
        glue = " " if rows[-1] else ""
        for piece in _pieces(word, width - len(_INDENT)):
            if rows[-1] and cell_len(rows[-1] + glue + piece) > width:
                rows.append(_INDENT + piece)
            else:
                rows[-1] += glue + piece
            glue = ""
    return rows


def _pieces(word: str, width: int) -> list[str]:
    """A word, or what it can be broken into where it is too long: behind a "/", else behind a "-", else anywhere."""
    if cell_len(word) <= width:
        return [word]
    for sign in "/-":
        parts = re.findall(f"[^{sign}]*{sign}|[^{sign}]+", word)
        if len(parts) > 1:
            return [piece for part in parts for piece in _pieces(part, width)]
    return [word[at : at + width] for at in range(0, len(word), width)]


def whole(lines: tuple[str, ...], width: int, rows: int, laid: Callable[[tuple[str, ...], int], Rows]) -> Rows:
    """As many of the lines as the rows hold, none of them cut: the last ones go, first what they say in brackets, and
    the window after all others.

    An estimate is said in few words before anything goes, and never without its band.
    """
    estimates = {clamp_loads.shortened(line) for line in lines} - set(lines)
    if len(laid(lines, width)) > rows:
        lines = tuple(map(clamp_loads.shortened, lines))
    while lines and len(laid(lines, width)) > rows:
        at = next((at for at in reversed(range(len(lines))) if not lines[at].startswith(WINDOW)), len(lines) - 1)
        short = lines[at] if lines[at] in estimates else lines[at].partition(" (")[0]
        lines = (*lines[:at], *((short,) if short != lines[at] else ()), *lines[at + 1 :])
    return laid(lines, width)


def room(shown: Shown, width: int, height: int, notice: str, kept: Figure | None = None) -> Room:
    """Find what of a question fits into so many columns and rows; `kept` is the number that was stored last."""
    inner = max(10, width - 2)
    listed = sum(_rows(f"{choice.key}  {choice.text}", inner - 2) for choice in shown.choices)
    used = 1 + _rows(shown.sentence, inner) + (shown.field is not None) + (shown.waiting is not None)
    used += _rows(notice, inner) if notice else 0
    keys = brief(shown.keys) if height < LOW else shown.keys
    short = tuple(map(_in_few_words, keys))
    if shown.choices and not shown.lines and used + listed + len(arranged(short, inner)[0]) == height:
        keys = short
    used += len(arranged(keys, inner)[0])
    listed += len(shown.items)
    left = height - used - (_SPREAD if height >= HIGH else 0)
    readings = shown.pulls and width >= WIDE and height >= LOW
    left -= readings and shown.field is None
    any_figure = shown.hand is not None or shown.position is not None
    figures = Large()
    if any_figure:
        most = TALL if height >= HIGH else MIDDLE if left >= MIDDLE + 2 else SMALL
        figures = large(shown.hand, shown.position, kept, inner, most, left)
        left -= figures.rows
    told = tuple(line for line in shown.lines if kept is None or not line.startswith(LAST_READING))
    for_lines = max(left - listed, min(left, 1)) if shown.choices else left  # what can be chosen is worth more
    lines = whole(told, inner, max(for_lines, 0), packed if any_figure or shown.choices else wrapped)
    left -= len(lines)
    fits = shown.picture and width >= WIDE and height >= LOW and left - listed >= _LEAST_MAP
    apart = bool(shown.choices) and left - listed > (_GOOD_MAP if fits else 0)
    return Room(figures, lines, max(left - apart, 2), apart, readings, fits, keys)


def brief(keys: tuple[KeyHint, ...]) -> tuple[KeyHint, ...]:
    """The keys of the question itself and the ways to all others; the rest is told by the help."""
    return tuple(hint for hint in keys if hint.key not in _TOLD_BY_THE_HELP)


def _in_few_words(hint: KeyHint) -> KeyHint:
    """Shorten a hint where rows are short for the choices: "- Enter" for "- then Enter". The help says it in full."""
    return KeyHint(re.sub(",? then Enter$", " Enter", hint.key), hint.text)


@lru_cache(maxsize=256)
def _rows(text: str, width: int) -> int:
    shown = printable(text)
    return 1 if len(shown) <= width else len(textwrap.wrap(shown, width, break_on_hyphens=False)) or 1


@lru_cache(maxsize=64)
def large(hand: Figure | None, place: Figure | None, kept: Figure | None, width: int, most: int, rows: int) -> Large:
    """Set number and position equally large: beside each other as tall as they fit, else one above the other, else
    the number alone, which then names the position. Where nothing is drawn large they stand as plain text."""
    tries = (
        *(_beside(hand, place, kept, width, tall, apart) for tall in _heights(most) for apart in (False, True)),
        *(_stacked(hand, place, width, tall) for tall in _heights(most) if 2 * tall + 2 < rows),
        *(_alone(hand, width, tall) for tall in _heights(most)),
    )
    return next((found for found in tries if found is not None), Large(hand=width))


def _heights(most: int) -> tuple[int, ...]:
    return tuple(tall for tall in HEIGHTS if tall <= most)


def _beside(
    hand: Figure | None, place: Figure | None, kept: Figure | None, width: int, tall: int, below: bool
) -> Large | None:
    """Both in one row, the unit beside the number or (`below`) in its caption; what was stored last beside them."""
    if not _drawn((hand, place)) or (below is False and width + 2 < WIDE):
        return None
    for_place = _columns(place, tall, below=True)
    if hand is None:
        return Large(tall) if for_place <= width else None
    for_hand = _columns(hand, tall, below=below)
    if place is None:
        return Large(tall, hand=width, unit_below=below) if for_hand <= width else None
    if width_of(hand.text, tall) + GAP + for_place > width or (not below and for_hand + GAP + for_place > width):
        return None
    wanted = max(for_hand + GAP, width // 2 if width + 2 >= WIDE else 0)
    columns = min(wanted, width - for_place)
    fits = _drawn((kept,)) and columns + for_place + GAP + _columns(kept, tall, below=True) <= width
    return Large(tall, hand=columns, unit_below=below, kept=fits)


def _stacked(hand: Figure | None, place: Figure | None, width: int, tall: int) -> Large | None:
    if hand is None or place is None or not _drawn((hand, place)):
        return None
    fits = max(_columns(figure, tall, below=True) for figure in (hand, place)) <= width
    return Large(tall, hand=width, unit_below=True, stacked=True) if fits else None


def _alone(hand: Figure | None, width: int, tall: int) -> Large | None:
    if hand is None or not _drawn((hand,)) or width_of(hand.text, tall) > width:
        return None
    return Large(tall, hand=width, unit_below=True, place=False)


def _drawn(figures: tuple[Figure | None, ...]) -> bool:
    """True where there are large figures for every sign of them, and any of them at all."""
    given = [figure for figure in figures if figure is not None]
    return bool(given) and all(covers(figure.text) for figure in given)


def _columns(figure: Figure | None, tall: int, *, below: bool) -> int:
    """Columns that a figure takes with what stands beside it, or with all of that in its caption."""
    if figure is None:
        return 0
    beside = 0 if below or not figure.beside else cell_len(figure.beside) + 2
    return max(width_of(figure.text, tall) + beside, cell_len(caption(figure, below=below)))


def caption(figure: Figure, *, below: bool) -> str:
    """Give the text below a figure; where there is no room beside it, its unit too."""
    return ", ".join(part for part in (figure.caption, figure.beside if below else "") if part)


def of_both(hand: Figure, place: Figure, columns: int, *, below: bool) -> str:
    """Give the text below a number that stands for its place as well: what it is in comes before all else, and
    nothing of it is cut; the place stands in the sentence too."""
    unit, at = (hand.beside if below else ""), f"{place.caption} {place.text}"
    tries = (
        ", ".join(filter(None, parts)) for parts in ((hand.caption, unit, at), (unit, at), (unit or hand.caption,))
    )
    return next((told for told in tries if cell_len(told) <= columns), unit or at)
