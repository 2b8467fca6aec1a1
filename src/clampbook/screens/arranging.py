"""The room that a screen has for a question: from the size to the height of the figures and the lines that fit."""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import lru_cache
from typing import Literal

from msgspec import Struct
from msgspec.structs import replace
from rich.cells import cell_len

from clampbook.paragraphs import laid
from clampbook.run.told.clamp_loads import EstimateLine
from clampbook.run.told.torques import WINDOW
from clampbook.run.told.words import Figure
from clampbook.screens.choosing import cost_rows
from clampbook.screens.hinting import CHOOSES, KEEP, UP_DOWN
from clampbook.screens.shown import Shown
from clampbook.screens.widgets.bottom_line import KeyHint, arranged
from clampbook.screens.widgets.figures import HEIGHTS, MIDDLE, SMALL, TALL, Height, covers, width_of
from clampbook.screens.widgets.large_figures import Stand, columns_of, drawn
from clampbook.screens.widgets.window_drawing import LEAST_RUN
from clampbook.text import printable
from clampbook.unit_table import NO_BREAK, unparted

WIDE, HIGH, LOW = 60, 30, 20  # columns, rows, rows
_GAP, _INDENT = "     ", "  "
_BROAD = 100  # columns from which on the stages have a line
_LEAST_MAP, _LEAST_STRIP = 5, 2  # rows; a smaller map says less than the words do
_USUAL_MAP, _LARGE_MAP = 7, 15  # rows that the map has before the further lines
_ROUND_MAP, _FOR_ROUND = 9, 24  # rows of a map that is a circle, on a screen of so many
_SPREAD = 3  # empty rows that part figures, field and map where rows abound
_GOOD_MAP = 9  # rows from which on a map of three rows stands at ease
Rows = tuple[str, ...]
UNITS = ("large", "text", "below")
GAP = 3  # columns between two figures, so that no two of them read as one number
LAST_READING = "last reading"  # how the line begins that tells what the notice tells too, right after it was stored
_TOLD_BY_THE_HELP = frozenset({"F2", "Bksp"})


class Large(Struct, frozen=True):
    """The stand of the figures: their height (None: plain bold text), the columns of the number for the hand, where its
    unit stands ("large" or as "text" beside it, or "below"), whether the position stands below it or not at all, and
    whether what was stored last stands beside them. `rows` are those of all of them, `free` the columns beside them.
    """

    tall: Height | None = None
    hand: int = 0
    unit: str = "text"
    stacked: bool = False
    place: bool = True
    kept: bool = False
    rows: int = 2
    free: int = 0


class Room(Struct, frozen=True):
    """The parts that fit: the figures, the short lines, the rows of a list and whether an empty one stands above it,
    the keys that are shown, the map (`strip`: only the places around the one at hand) with the joints of the run over
    it, the stages, and the window of what is read, in a "line" or as a "run" beside the figures.
    """

    figures: Large
    lines: tuple[str, ...]
    listed: int
    apart: bool
    map: bool
    keys: tuple[KeyHint, ...]
    strip: bool = False
    stages: bool = False
    window: Literal["", "line", "run"] = ""
    joints: bool = False


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
    for unbroken in unparted(line).split(" "):
        word = unbroken.replace(NO_BREAK, " ")
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


def whole(
    lines: tuple[str, ...],
    width: int,
    rows: int,
    laid: Callable[[tuple[str, ...], int], Rows],
    estimate: EstimateLine | None = None,
) -> Rows:
    """As many of the lines as the rows hold, none of them cut: the last ones go, first what they say in brackets, and
    the window after all others.

    The `estimate` among them is said in few words before anything goes, and never without its band.
    """
    few = None if estimate is None else estimate.few
    if estimate is not None and len(laid(lines, width)) > rows:
        lines = tuple(estimate.few if line == estimate.whole else line for line in lines)
    while lines and len(laid(lines, width)) > rows:
        at = next((at for at in reversed(range(len(lines))) if not lines[at].startswith(WINDOW)), len(lines) - 1)
        short = lines[at] if lines[at] == few else lines[at].partition(" (")[0]
        lines = (*lines[:at], *((short,) if short != lines[at] else ()), *lines[at + 1 :])
    return laid(lines, width)


def room(
    shown: Shown,
    width: int,
    height: int,
    notice: str,
    kept: Figure | None = None,
    widest: str = "",
    *,
    circle: bool = False,
) -> Room:
    """Find what of one fits into so many columns and rows; `kept` is the number that was stored last, `widest` the
    widest name of a position, `circle` True where the joint is one."""
    inner = max(10, width - 2)
    listed = sum(_rows(f"{choice.key}  {choice.text}", inner - 2) for choice in shown.choices)
    listed += cost_rows(shown.choices, inner - 1)
    used = 1 + _rows(shown.sentence, inner) + (shown.field is not None) + (shown.waiting is not None)
    used += _rows(notice, inner) if notice else 0
    keys = brief(shown.keys) if height < LOW else shown.keys
    short = _in_few_words(keys)
    if shown.choices and not shown.lines and used + listed + len(arranged(short, inner)[0]) == height:
        keys = short
    used += len(arranged(keys, inner)[0])
    listed += len(shown.items)
    left = height - used - (_SPREAD if height >= HIGH else 0)
    any_figure = shown.hand is not None or shown.position is not None
    figures = Large(rows=0)
    if any_figure:
        most = TALL if height >= HIGH else MIDDLE if left >= MIDDLE.rows + 2 else SMALL
        figures = large(shown.hand, _widest(shown.position, widest), kept, inner, most, left)
    left -= figures.rows
    window = _window(shown, height, figures)
    left -= window == "line"
    stages = shown.picture and width >= _BROAD and height >= HIGH
    left -= 2 * stages
    told = _told(shown, kept, inner if window == "line" else 0)
    for_lines = max(left - listed, min(left, 0 if window == "line" else 1)) if shown.choices else left
    for_map = _map_wanted(shown, width, height, circle=circle)
    for_lines = min(for_lines, max(left - for_map, min(left, 1))) if for_map and not shown.choices else for_lines
    laid_out = packed if (any_figure or shown.choices) and not shown.apart else wrapped
    lines = whole(told, inner, max(for_lines, 0), laid_out, shown.estimate)
    left -= len(lines)
    least = _LEAST_STRIP if width < WIDE or height < LOW else _LEAST_MAP + shown.joints
    fits = shown.picture and (width >= WIDE or shown.pulls) and left - listed >= least
    apart = bool(shown.choices) and left - listed > (_GOOD_MAP if fits else 0)
    strip = fits and least == _LEAST_STRIP
    joints = fits and not strip and shown.joints
    return Room(figures, lines, max(left - apart, 2), apart, fits, keys, strip, stages, window, joints)


def _told(shown: Shown, kept: Figure | None, beside_line: int) -> tuple[str, ...]:
    """The short lines, without what stands elsewhere: right after it was stored the last reading, and on a narrow
    screen the window, where it is drawn."""
    stored = tuple(line for line in shown.lines if kept is None or not line.startswith(LAST_READING))
    narrow = 0 < beside_line < WIDE
    return tuple(line for line in stored if not line.startswith(WINDOW)) if narrow else stored


def _window(shown: Shown, height: int, figures: Large) -> Literal["", "line", "run"]:
    """Tell how the window of what is read is drawn: as a run where that fits beside the figures."""
    if shown.band is None:
        return ""
    beside = figures.tall is not None and not figures.stacked and not figures.kept and shown.position is not None
    columns, rows = LEAST_RUN
    return "run" if beside and height >= HIGH and figures.rows >= rows and figures.free >= columns else "line"


def _map_wanted(shown: Shown, width: int, height: int, *, circle: bool) -> int:
    """Rows that the map has before the further lines under the sentence."""
    if not shown.picture:
        return 0
    if width < WIDE or height < LOW:
        return _LEAST_STRIP if shown.pulls else 0
    return usual_map(height, circle=circle) + shown.joints


def usual_map(height: int, *, circle: bool = False) -> int:
    """Give the rows that a whole map has at a pull, on a screen of so many; fewer would flatten a circle."""
    if height >= HIGH:
        return _LARGE_MAP
    return _ROUND_MAP if circle and height >= _FOR_ROUND else _USUAL_MAP


def brief(keys: tuple[KeyHint, ...]) -> tuple[KeyHint, ...]:
    """The keys of the question itself and the ways to all others; the rest is told by the help."""
    return tuple(hint for hint in keys if hint.key not in _TOLD_BY_THE_HELP)


def _in_few_words(keys: tuple[KeyHint, ...]) -> tuple[KeyHint, ...]:
    """Shorten hints where rows are short for the choices: "- Enter" for "- then Enter", "1–5 Enter" for a list. The
    help says it in full."""
    chosen = any(hint.text == CHOOSES for hint in keys)
    left = (hint for hint in keys if not (chosen and hint == KEEP))
    return tuple(KeyHint(re.sub(f" then Enter$| or {UP_DOWN}$", " Enter", hint.key), hint.text) for hint in left)


@lru_cache(maxsize=256)
def _rows(text: str, width: int) -> int:
    shown = printable(text)
    return 1 if len(shown) <= width else len(laid(shown, width, cut=True))


def _widest(place: Figure | None, widest: str) -> Figure | None:
    """The position, or a wider one in its place, so that nothing moves from one to the next."""
    if place is None or not covers(widest) or not covers(place.text):
        return place
    return place if width_of(widest, MIDDLE) <= width_of(place.text, MIDDLE) else replace(place, text=widest)


@lru_cache(maxsize=64)
def large(hand: Figure | None, place: Figure | None, kept: Figure | None, width: int, most: Height, rows: int) -> Large:
    """Let number and position stand equally large: beside each other as tall as they fit, else one above the other,
    else the number alone, which then names the position. Where nothing is drawn large they stand as plain text.
    """
    tries = (
        *(_beside(hand, place, kept, width, tall, unit) for tall in _heights(most) for unit in UNITS),
        *(_stacked(hand, place, width, tall, rows) for tall in _heights(most)),
        *(_alone(hand, width, tall) for tall in _heights(most)),
    )
    return next((found for found in tries if found is not None), Large(hand=width, rows=_as_text(hand, place)))


def _as_text(hand: Figure | None, place: Figure | None) -> int:
    return max(1, 2 * (hand is not None) or 2 * (place is not None))


def _heights(most: Height) -> tuple[Height, ...]:
    return tuple(tall for tall in HEIGHTS if tall <= most)


def _beside(
    hand: Figure | None, place: Figure | None, kept: Figure | None, width: int, tall: Height, unit: str
) -> Large | None:
    """Both in one row; what was stored last beside them."""
    narrow = width + 2 < WIDE
    if not _drawn((hand, place)) or (unit == "large" and (narrow or hand is None or not hand.unit)):
        return None
    stand = Stand(tall, unit)
    rows = tall.rows + (2 if place is not None and place.framed else unit == "below")
    for_place = _columns(place, stand)
    if hand is None:
        return Large(tall, unit=unit, rows=rows, free=width - for_place - GAP) if for_place <= width else None
    for_hand = _columns(hand, stand)
    if place is None:
        return Large(tall, hand=width, unit=unit, rows=rows) if for_hand <= width else None
    gap = 2 if narrow and place.framed else GAP
    if for_hand + gap + for_place > width:
        return None
    columns = min(max(for_hand + gap, 0 if narrow else width // 2), width - for_place)
    fits = _drawn((kept,)) and columns + for_place + GAP + _columns(kept, stand) <= width
    free = width - columns - for_place - GAP
    return Large(tall, hand=columns, unit=unit, kept=fits, rows=rows, free=free)


def _stacked(hand: Figure | None, place: Figure | None, width: int, tall: Height, rows: int) -> Large | None:
    if hand is None or place is None or not _drawn((hand, place)):
        return None
    stand = Stand(tall, "below")
    fits = max(_columns(figure, stand) for figure in (hand, place)) <= width
    wanted = len(drawn(hand, stand, width)) + len(drawn(place, stand, width))
    return Large(tall, hand=width, unit="below", stacked=True, rows=wanted) if fits and wanted < rows else None


def _alone(hand: Figure | None, width: int, tall: Height) -> Large | None:
    if hand is None or not _drawn((hand,)) or width_of(hand.text, tall) > width:
        return None
    return Large(tall, hand=width, unit="below", place=False, rows=tall.rows + 1)


def _drawn(figures: tuple[Figure | None, ...]) -> bool:
    """Tell if there are large figures for every sign of them, and any of them at all."""
    given = [figure for figure in figures if figure is not None]
    return bool(given) and all(covers(figure.text) for figure in given)


def _columns(figure: Figure | None, stand: Stand) -> int:
    """Columns that a figure takes so."""
    return 0 if figure is None else columns_of(figure, stand)


def of_both(hand: Figure, place: Figure, columns: int) -> str:
    """Tell what is below a number that stands for its place as well: what it is in comes before all else, and nothing
    of it is cut; the place stands in the sentence too."""
    unit = " ".join(part for part in (hand.unit, hand.beside) if part)
    at = " ".join(part for part in (place.caption, place.text, place.beside) if part)
    tries = (
        ", ".join(filter(None, parts)) for parts in ((hand.caption, unit, at), (unit, at), (unit or hand.caption,))
    )
    return next((told for told in tries if cell_len(told) <= columns), unit or at)
