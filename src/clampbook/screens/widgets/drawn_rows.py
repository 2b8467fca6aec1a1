"""A drawing in rows on the screen: only the rows that changed are painted again."""

from __future__ import annotations

from abc import abstractmethod
from typing import ClassVar

from rich.segment import Segment
from rich.style import Style
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
        self._drawn_at: Size | None = None
        self._inks: dict[str, Style] = {}

    @abstractmethod
    def rows(self, size: Size) -> tuple[Row, ...]:
        """Give all that stands there at this size."""

    def draw(self, *, moved: bool = False) -> None:
        """Draw it, and paint the rows that are no longer what they were; `moved`: it takes another place, as it also
        does with other rows where their number is its own."""
        size = self.size
        before = self._rows if self._drawn_at == size else ()
        self._rows, self._drawn_at = self.rows(size), size
        if moved or len(before) != len(self._rows):
            self.refresh(layout=moved or bool(self.styles.is_auto_height))
            return
        for y, (old, new) in enumerate(zip(before, self._rows, strict=True)):
            if old != new:
                self.refresh(Region(0, y, size.width, 1))

    def notify_style_update(self) -> None:
        super().notify_style_update()
        self._inks.clear()

    def render_line(self, y: int) -> Strip:
        return self.inked(y).adjust_cell_length(self.size.width, self._ink(""))

    def inked(self, y: int) -> Strip:
        """Give a row with nothing behind it."""
        size = self.size
        if size != self._drawn_at:
            self._rows, self._drawn_at = self.rows(size), size
        row = self._rows[y] if y < len(self._rows) else ()
        return Strip([Segment(text, self._ink(tone)) for text, tone in row])

    def _ink(self, tone: str) -> Style:
        """A tone as it looks, worked out once until the looks change."""
        style = self._inks.get(tone)
        if style is None:
            style = self._inks[tone] = self.get_component_rich_style(f"drawn-rows--{tone}") if tone else self.rich_style
        return style
