"""A drawing in rows on the screen: only the rows that changed are painted again."""

from __future__ import annotations

from abc import abstractmethod
from typing import ClassVar

from rich.segment import Segment
from rich.style import Style
from textual import events
from textual.geometry import Region, Size
from textual.strip import Strip
from textual.widget import Widget

Part = tuple[str, str]  # a text and its tone, "" for ink
Row = tuple[Part, ...]
_TONES = ("bold", "quiet", "under", "over", "concession")


class DrawnRows(Widget):
    """Paints rows of texts with their tones. What draws them gives them for a size."""

    COMPONENT_CLASSES: ClassVar[set[str]] = {f"drawn-rows--{tone}" for tone in _TONES}
    can_focus = False

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__(id=id)
        self.auto_links = False
        self._rows: tuple[Row, ...] = ()
        self._inks: dict[str, Style] = {}

    @abstractmethod
    def rows(self, size: Size) -> tuple[Row, ...]:
        """Give all that stands there at this size."""

    def draw(self) -> None:
        """Draw it, and paint the rows that are no longer what they were."""
        rows = self.rows(self.size)
        before, self._rows = self._rows, rows
        if len(before) != len(rows):
            self.refresh()
            return
        for y, (old, new) in enumerate(zip(before, rows, strict=True)):
            if old != new:
                self.refresh(Region(0, y, self.size.width, 1))

    def on_resize(self, _: events.Resize) -> None:
        self._rows = self.rows(self.size)
        self.refresh()

    def notify_style_update(self) -> None:
        super().notify_style_update()
        self._inks.clear()

    def render_line(self, y: int) -> Strip:
        row = self._rows[y] if y < len(self._rows) else ()
        segments = [Segment(text, self._ink(tone)) for text, tone in row]
        return Strip(segments).adjust_cell_length(self.size.width, self._ink(""))

    def _ink(self, tone: str) -> Style:
        """A tone as it looks, worked out once until the looks change."""
        style = self._inks.get(tone)
        if style is None:
            style = self._inks[tone] = self.get_component_rich_style(f"drawn-rows--{tone}") if tone else self.rich_style
        return style
