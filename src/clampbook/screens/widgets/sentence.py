"""The one sentence that says what to do, across the full width of the screen."""

from __future__ import annotations

from textual.content import Content

from clampbook.screens.widgets.text_block import TextBlock, in_lines
from clampbook.text import printable


class Sentence(TextBlock):
    """Bold, wrapped, foreign text in it shown as it is. `said` is what stands there, for tests and screen readers."""

    def __init__(self, text: str = "", *, id: str | None = None, classes: str | None = None) -> None:
        super().__init__(Content(printable(text)), id=id, classes=classes)
        self.said = text

    def say(self, text: str, columns: int) -> None:
        """Put another sentence there, in lines of so many columns."""
        self.said = text
        self.put(in_lines(printable(text), columns))
