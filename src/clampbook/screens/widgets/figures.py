"""Large figures that read from two metres: solid strokes two cells thick, zero slashed, drawn with half blocks."""

from __future__ import annotations

import itertools
from functools import lru_cache
from typing import Final

from rich.cells import cell_len
from textual.content import Content
from textual.geometry import Size
from textual.widget import Widget

from clampbook.screens.widgets.strokes import HEIGHT, STROKES, Point
from clampbook.text import printable

TALL, MIDDLE, SMALL = 7, 5, 3
HEIGHTS: Final = (TALL, MIDDLE, SMALL)
_GAP: Final = {TALL: 2, MIDDLE: 2, SMALL: 1}
_BLANK: Final = {TALL: 4, MIDDLE: 3, SMALL: 2}
_PEN_WIDTH: Final = 2
_BESIDE: Final = 2  # blanks between the figures and what stands beside them
_WIDEST: Final = {TALL: 1.0, MIDDLE: 5 / 6, SMALL: 4 / 6}  # how much of a sign's drawn width a height keeps
_HALVES: Final = {(False, False): " ", (True, False): "▀", (False, True): "▄", (True, True): "█"}


def covers(text: str) -> bool:
    """Tell whether there is a large figure for every sign of the text; small letters are drawn as small capitals."""
    return all(sign == " " or sign.upper() in STROKES for sign in text)


@lru_cache(maxsize=256)
def large(text: str, height: int = TALL) -> tuple[str, ...]:
    """The text in large figures, `height` lines (7, 5 or 3) of equal width; a sign that has none is left blank.

    Small letters are small capitals beside taller signs; a whole word of them takes the whole height.
    """
    if len(text) > 1 and all(sign.islower() or sign == " " for sign in text):
        text = text.upper()
    drawn = [_sign(sign, height) for sign in text]
    return tuple((" " * _GAP[height]).join(sign[line] for sign in drawn) for line in range(height))


def width_of(text: str, height: int = TALL) -> int:
    """Count the cells that the text takes at this height."""
    return len(large(text, height)[0])


def tallest(wanted: tuple[tuple[str, int], ...], most: int = TALL) -> int | None:
    """The tallest height, not above `most`, at which every text fits into its width; None where not even the small
    figures do, or a text has a sign without one."""
    if not all(covers(text) for text, _ in wanted):
        return None
    fitting = (height for height in HEIGHTS if height <= most and all(width_of(t, height) <= w for t, w in wanted))
    return next(fitting, None)


@lru_cache(maxsize=512)
def _sign(sign: str, height: int) -> tuple[str, ...]:
    if sign == " " or sign.upper() not in STROKES:
        return (" " * _BLANK[height],) * height
    if sign.upper() != sign and height > SMALL:  # a small letter: the next smaller capital, standing on the line
        lower = _sign(sign.upper(), height - 2)
        return (" " * len(lower[0]),) * 2 + lower
    return _inked(sign.upper(), height)


def _inked(sign: str, height: int) -> tuple[str, ...]:
    pen_height = 1 if height == SMALL else 2
    foot = 2 * height - pen_height
    points = _pen_points(sign, height, foot)
    width = max(x for x, _ in points) + _PEN_WIDTH
    ink = {
        (x + right, min(y + down, 2 * height - 1))
        for x, y in points
        for right in range(_PEN_WIDTH)
        for down in range(pen_height)
    }
    return tuple(
        "".join(_HALVES[(x, 2 * line) in ink, (x, 2 * line + 1) in ink] for x in range(width)) for line in range(height)
    )


def _pen_points(sign: str, height: int, foot: int) -> set[Point]:
    """Every place the pen comes by, at this height."""
    points: set[Point] = set()
    for stroke in STROKES[sign]:
        scaled = [(round(x * _WIDEST[height]), round(y * foot / HEIGHT)) for x, y in stroke]
        points.update(scaled)
        for (x1, y1), (x2, y2) in itertools.pairwise(scaled):
            steps = max(abs(x2 - x1), abs(y2 - y1), 1)
            points.update((round(x1 + (x2 - x1) * i / steps), round(y1 + (y2 - y1) * i / steps)) for i in range(steps))
    return points


class LargeFigures(Widget):
    """A text in large figures, what it is in beside its foot, and a caption below.

    Takes the tallest figures that fit its width and are not above `most` (0: none); where none fit, it stands bold
    on one line. `plain` says the same in words.
    """

    can_focus = False

    def __init__(self, text: str = "", *, caption: str = "", beside: str = "", id: str | None = None) -> None:
        super().__init__(id=id)
        self.text, self.caption, self.beside = text, caption, beside
        self.most = TALL

    def show(self, text: str, *, caption: str = "", beside: str = "", most: int = TALL) -> None:
        """Show another text; the same one again paints nothing."""
        wanted = (text, caption, beside, most)
        if wanted != (self.text, self.caption, self.beside, self.most):
            before = self._needs()
            self.text, self.caption, self.beside, self.most = wanted
            self.refresh(layout=self._needs() != before)

    def _needs(self) -> tuple[int, ...]:
        """All that columns and rows depend on, whatever the width: the present one may be that of the text before."""
        drawn = (width_of(self.text, height) if covers(self.text) else 0 for height in HEIGHTS)
        return (*drawn, *map(cell_len, (self.text, self.beside, self.caption)), self.most)

    @property
    def plain(self) -> str:
        """The text, what stands beside it and the caption, on one line, for tests and screen readers."""
        return "  ".join(part for part in (f"{self.text} {self.beside}".strip(), self.caption) if part)

    def lines(self, width: int) -> tuple[str, ...]:
        """The figures at this width with what stands beside them, without the caption."""
        drawn = self._drawn(width)
        beside = printable(self.beside)
        if not beside:
            return drawn
        if cell_len(drawn[-1]) + _BESIDE + cell_len(beside) <= width:
            return (*drawn[:-1], f"{drawn[-1]}{' ' * _BESIDE}{beside}")
        return (*drawn, beside)

    def _drawn(self, width: int) -> tuple[str, ...]:
        """Draw the figures as tall as they can be: what stands beside may go below, but never makes them smaller."""
        height = tallest(((self.text, width),), self.most) if self.text else None
        return large(self.text, height) if height else (printable(self.text),)

    def get_content_width(self, container: Size, viewport: Size) -> int:  # noqa: ARG002
        lines = (*self.lines(container.width), printable(self.caption))
        return max(cell_len(line) for line in lines)

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:  # noqa: ARG002
        return len(self.lines(width)) + bool(self.caption)

    def render(self) -> Content:
        lines = self.lines(self.content_size.width)
        shown = Content.styled("\n".join(lines), "" if len(lines) >= SMALL else "bold")
        return shown.append(f"\n{printable(self.caption)}") if self.caption else shown
