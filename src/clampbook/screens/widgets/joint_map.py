"""The map of the joint on the screen: painted once, then only the lines on which something changed."""

from __future__ import annotations

from collections.abc import Mapping
from typing import ClassVar

from rich.segment import Segment
from rich.style import Style
from textual import events
from textual.geometry import Region, Size
from textual.strip import Strip
from textual.widget import Widget

from clampbook.procedure.model import Layout
from clampbook.screens.widgets.map_drawing import Frame, Picture, Sight, View, draw, framed, line_at, pictured
from clampbook.screens.widgets.map_piece import Line
from clampbook.screens.widgets.map_words import text_equivalent
from clampbook.screens.widgets.marks import Mark

__all__ = ["JointMap", "draw", "text_equivalent"]

_UNDERLINED = Style(underline=True)
_TONES = ("quiet", "under", "over", "concession", "edge", "now")


class JointMap(Widget):
    """Shows a layout with its marks as the person stands to it. `text` is the same in words."""

    COMPONENT_CLASSES: ClassVar[set[str]] = {f"joint-map--{tone}" for tone in _TONES}
    can_focus = False

    def __init__(
        self,
        layout: Layout,
        *,
        fits: Mapping[str, str] | None = None,
        quarters: int = 0,
        from_below: bool = False,
        on_form: bool = False,
        id: str | None = None,
    ) -> None:
        super().__init__(id=id)
        self._on_form = on_form
        self._layout_shown, self._fits = layout, dict(fits or {})
        self.quarters, self.from_below = quarters % 4, from_below
        self._marks: dict[str, Mark] = {}
        self._now: tuple[str, ...] = ()
        self._ahead: tuple[str, ...] = ()
        self._strip, self._least = False, 0
        self._picture: Picture | None = None
        self._frame: Frame | None = None
        self._view: View | None = None
        self._strips: dict[int, Strip] = {}
        self._inks: dict[str, Style] = {}

    @property
    def marks(self) -> Mapping[str, Mark]:
        """The marks that show what has become of each position."""
        return self._marks

    @property
    def now(self) -> tuple[str, ...]:
        """The positions shown as the ones now."""
        return self._now

    @property
    def text(self) -> str:
        """The map in words."""
        way = self.quarters, self.from_below
        return text_equivalent(self._layout_shown, self._marks, self._now, *way, self._fits, on_form=self._on_form)

    def show(self, marks: Mapping[str, Mark], now: tuple[str, ...], ahead: tuple[str, ...] = ()) -> None:
        """Show these marks; only lines with a change are painted again, all of them where the view moves on."""
        changed = {p for p in self._marks.keys() | marks.keys() if self._marks.get(p) != marks.get(p)}
        changed |= (set(self._now) ^ set(now)) | (set(self._ahead) ^ set(ahead))
        self._marks, self._now, self._ahead = dict(marks), now, ahead
        if not changed:
            return
        if self._frame is None or any(position not in self._frame.line_of for position in now):
            self._again(anew=False)
            return
        rows = self._frame.box.rows
        for y in {self._frame.line_of[position] for position in changed if position in self._frame.line_of}:
            for line in range(y, y + rows):
                self._strips.pop(line, None)
            self.refresh(Region(0, y, self.size.width, rows))

    def draw(self, layout: Layout) -> None:
        """Draw another joint, or the same with more of it known."""
        if layout != self._layout_shown:
            self._layout_shown = layout
            self._again()

    def turn(self, quarters: int, from_below: bool) -> None:
        """Show it turned clockwise by so many quarters, and from below or above."""
        if (quarters % 4, from_below) != (self.quarters, self.from_below):
            self.quarters, self.from_below = quarters % 4, from_below
            self._again()

    def narrow(self, strip: bool, least: int) -> None:
        """Show only the places around the one at hand, with nothing beside them; or all there is, in frames where
        those fit the `least` rows that it has at a pull."""
        if (strip, least) != (self._strip, self._least):
            self._strip, self._least = strip, least
            self._again()

    def lines(self) -> tuple[Line, ...]:
        """The map as it stands at its present size."""
        frame = self._framed()
        return tuple(line_at(frame, y, self._marks, self._now, self._ahead) for y in range(self.size.height))

    def on_resize(self, _: events.Resize) -> None:
        self._again()

    def notify_style_update(self) -> None:
        super().notify_style_update()
        self._strips.clear()
        self._inks.clear()

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:  # noqa: ARG002
        frame, _ = framed(pictured(self._sight(width, container.height)), self._now)
        return max((*frame.around, *frame.cells)) + 1

    def render_line(self, y: int) -> Strip:
        strip = self._strips.get(y)
        if strip is None or strip.cell_length != self.size.width:
            line = line_at(self._framed(), y, self._marks, self._now, self._ahead)
            strip = self._strips[y] = self._painted(line, self.size.width)
        return strip

    def _sight(self, width: int, height: int) -> Sight:
        way = self.quarters, self.from_below
        return Sight(
            self._layout_shown, width, height, *way, self._fits, self._strip, self._least, on_form=self._on_form
        )

    def _again(self, *, anew: bool = True) -> None:
        """Paint all of it; `anew` places the positions again, too."""
        if anew:
            self._picture = self._view = None
        self._frame = None
        self._strips.clear()
        self.refresh()

    def _framed(self) -> Frame:
        if self._picture is None:
            self._picture = pictured(self._sight(*self.size))
        if self._frame is None:
            self._frame, self._view = framed(self._picture, self._now, self._view)
        return self._frame

    def _painted(self, line: Line, width: int) -> Strip:
        ground = self._ink("ink")
        segments: list[Segment] = []
        end = 0
        for piece in line:
            segments.append(Segment(" " * (piece.column - end), ground))
            style = self._ink(piece.tone)
            segments.append(Segment(piece.text, style + _UNDERLINED if piece.underlined else style))
            end = piece.column + Segment.get_line_length(segments[-1:])
        return Strip(segments).adjust_cell_length(width, ground)

    def _ink(self, tone: str) -> Style:
        """Give the look of a tone, worked out once until the looks change."""
        style = self._inks.get(tone)
        if style is None:
            style = self.rich_style if tone == "ink" else self.get_component_rich_style(f"joint-map--{tone}")
            self._inks[tone] = style
        return style
