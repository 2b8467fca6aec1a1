"""A text longer than its place: it moves, and a bar beside it shows where one is."""

from __future__ import annotations

from textual.containers import VerticalScroll


class LongText(VerticalScroll):
    """A place that moves up and down, by keys of the screen only."""

    def __init__(self, *, id: str) -> None:
        super().__init__(id=id, can_focus=False)

    def watch_show_vertical_scrollbar(self, shown: bool) -> None:
        """The toolkit tells the bar of a move only while it is shown; when it comes back it still stands there."""
        if shown:
            self.vertical_scrollbar.position = self.scroll_y
