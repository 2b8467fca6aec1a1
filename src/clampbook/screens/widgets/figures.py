"""Large figures that read from two metres: solid strokes two cells thick, zero slashed, drawn with half blocks."""

from __future__ import annotations

import itertools
from functools import lru_cache
from typing import Final, NamedTuple

from clampbook.screens.widgets.slim_figures import covers_slim, slim
from clampbook.screens.widgets.strokes import HEIGHT, STROKES, Point


class Height(NamedTuple):
    """Rows of a figure, how much of its drawn width it keeps, and blanks between two of them and for a missing one."""

    rows: int
    keeps: float
    gap: int
    blank: int


TALL, MIDDLE, SMALL = Height(7, 1.0, 2, 4), Height(5, 5 / 6, 2, 3), Height(3, 4 / 6, 1, 2)
SLIM: Final = Height(3, 0.5, 1, 2)  # one cell thick, for the narrowest screens
HEIGHTS: Final = (TALL, MIDDLE, SMALL, SLIM)
_PEN_WIDTH: Final = 2
_HALVES: Final = {(False, False): " ", (True, False): "▀", (False, True): "▄", (True, True): "█"}


def covers(text: str) -> bool:
    """Tell if there is a large figure for every sign of the text; small letters are drawn as small capitals."""
    return all(sign == " " or sign.upper() in STROKES for sign in text)


@lru_cache(maxsize=256)
def large(text: str, height: Height = TALL) -> tuple[str, ...]:
    """The text in large figures, in rows of equal width; a sign that has none is left blank.

    Small letters are small capitals beside taller signs; a whole word of them takes the whole height.
    """
    if height == SLIM and covers_slim(text):
        return slim(text)
    if len(text) > 1 and all(sign.islower() or sign == " " for sign in text):
        text = text.upper()
    drawn = [_sign(sign, height) for sign in text]
    return tuple((" " * height.gap).join(sign[line] for sign in drawn) for line in range(height.rows))


def width_of(text: str, height: Height = TALL) -> int:
    """Count the cells that the text takes at this height."""
    return len(large(text, height)[0])


def tallest(wanted: tuple[tuple[str, int], ...], most: Height = TALL) -> Height | None:
    """The tallest height, not above `most`, at which every text fits into its width; None where not even the slim
    figures do, or a text has a sign without one."""
    if not all(covers(text) for text, _ in wanted):
        return None
    fitting = (height for height in HEIGHTS if height <= most and all(width_of(t, height) <= w for t, w in wanted))
    return next(fitting, None)


@lru_cache(maxsize=512)
def _sign(sign: str, height: Height) -> tuple[str, ...]:
    if sign == " " or sign.upper() not in STROKES:
        return (" " * height.blank,) * height.rows
    if sign.upper() != sign and height > SMALL:  # a small letter: the next smaller capital, standing on the line
        lower = _sign(sign.upper(), HEIGHTS[HEIGHTS.index(height) + 1])
        return (" " * len(lower[0]),) * 2 + lower
    return _inked(sign.upper(), height)


def _inked(sign: str, height: Height) -> tuple[str, ...]:
    rows, pen_width = height.rows, 1 if height == SLIM else _PEN_WIDTH
    pen_height = 1 if rows == SMALL.rows else 2
    foot = 2 * rows - pen_height
    points = _pen_points(sign, height, foot)
    width = max(x for x, _ in points) + pen_width
    ink = {
        (x + right, min(y + down, 2 * rows - 1))
        for x, y in points
        for right in range(pen_width)
        for down in range(pen_height)
    }
    return tuple(
        "".join(_HALVES[(x, 2 * line) in ink, (x, 2 * line + 1) in ink] for x in range(width)) for line in range(rows)
    )


def _pen_points(sign: str, height: Height, foot: int) -> set[Point]:
    """Every place the pen comes by, at this height."""
    points: set[Point] = set()
    for stroke in STROKES[sign]:
        scaled = [(round(x * height.keeps), round(y * foot / HEIGHT)) for x, y in stroke]
        points.update(scaled)
        for (x1, y1), (x2, y2) in itertools.pairwise(scaled):
            steps = max(abs(x2 - x1), abs(y2 - y1), 1)
            points.update((round(x1 + (x2 - x1) * i / steps), round(y1 + (y2 - y1) * i / steps)) for i in range(steps))
    return points
