"""The window of what is read on the screen: a line, or a run where there is room for one."""

from __future__ import annotations

from textual.geometry import Size

from clampbook.run.told.words import Band, Read
from clampbook.screens.widgets.drawn_rows import DrawnRows, Row
from clampbook.screens.widgets.window_drawing import LEAST_RUN, line, run


class WindowPicture(DrawnRows):
    """Shows one window after the other; the same one again paints nothing."""

    _shown: tuple[Band, tuple[Read, ...]] | None = None

    def show(self, band: Band, reads: tuple[Read, ...]) -> None:
        """Show these readings in this window."""
        if (band, reads) != self._shown:
            self._shown = (band, reads)
            self.draw()

    def rows(self, size: Size) -> tuple[Row, ...]:
        """Give a run where rows and columns are enough for one, else a line."""
        if self._shown is None or not size.width:
            return ()
        if size.width >= LEAST_RUN[0] and size.height >= LEAST_RUN[1]:
            return run(*self._shown, size.width, size.height)
        return (line(*self._shown, size.width),)
