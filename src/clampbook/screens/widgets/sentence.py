"""The one sentence that says what to do, across the full width of the screen."""

from __future__ import annotations

from textual.content import Content
from textual.widgets import Static

from clampbook.text import printable


class Sentence(Static):
    """Bold, wrapped, foreign text in it shown as it is. `said` is what stands there, for tests and screen readers."""

    def __init__(self, text: str = "", *, id: str | None = None, classes: str | None = None) -> None:
        super().__init__(printable(text), markup=False, id=id, classes=classes)
        self.said = text

    def say(self, text: str) -> None:
        """Put another sentence there; the same one again paints nothing, and one as long moves nothing."""
        if text != self.said:
            self.said = text
            shown, width = Content(printable(text)), self.size.width
            self.update(shown, layout=not width or shown.get_height({}, width) != self.size.height)
