"""The picture of deviations on the screen: one band, painted into whatever room there is."""

from __future__ import annotations

from textual.content import Content
from textual.widget import Widget

from clampbook.screens.widgets.band_drawing import LEAST_ROWS, Band, Row, drawn

_TONES = {"": "", "bold": "bold", "quiet": "$quiet", "over": "bold $over"}


class BandPicture(Widget):
    """Shows one band after the other; the same one again paints nothing."""

    can_focus = False

    def __init__(self, band: Band | None = None, *, id: str | None = None) -> None:
        super().__init__(id=id)
        self.auto_links = False
        self.band = band

    def show(self, band: Band) -> None:
        """Show this one now."""
        if band != self.band:
            self.band = band
            self.refresh()

    def render(self) -> Content:
        """The band in the room there is; nothing where that is too small to tell anything."""
        size = self.content_size
        if self.band is None or size.height < LEAST_ROWS:
            return Content()
        return painted(drawn(self.band, size.width, size.height))


def painted(rows: tuple[Row, ...]) -> Content:
    """Rows of a drawing as text with its tones."""
    return Content("\n").join(
        Content.assemble(*((text, _TONES[tone]) if _TONES[tone] else text for text, tone in row)) for row in rows
    )
