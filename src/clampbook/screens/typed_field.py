"""The field as all screens show it: the screen has the keys, the field only shows what they came to."""

from __future__ import annotations

from textual.content import Content
from textual.geometry import Offset
from textual.widgets import Static

from clampbook.text import printable


class TypedField(Static):
    """Shows a line with the cursor at its end; of a line that is too long, its end."""

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__("", markup=False, id=id)
        self.text = ""

    def show(self, text: str) -> None:
        """Put this into the field."""
        if text != self.text:
            self.text = text
            self.refresh()

    def render(self) -> Content:
        room = max(self.content_size.width - 1, 1)
        shown = printable(self.text)[-room:]
        # The terminal's own cursor goes along, for readers of the screen and for signs made of several keys.
        self.app.cursor_position = Offset(self.content_region.x + len(shown), self.content_region.y)
        return Content.assemble((shown, "underline"), (" ", "reverse"))
