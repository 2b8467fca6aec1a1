"""The line on which answers stand as they are typed: the screen has the keys, this only shows what they came to."""

from __future__ import annotations

from rich.cells import cell_len
from textual.content import Content
from textual.geometry import Offset
from textual.widgets import Static

from clampbook.text import printable


class EntryLine(Static):
    """What is asked for, what was typed with the cursor at its end, and the unit; of a line too long its end."""

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__("", markup=False, id=id)
        self.before = self.text = self.behind = ""
        self.fresh = False

    def show(self, before: str, text: str, behind: str = "", *, fresh: bool = False) -> None:
        """Show this; the same again paints nothing. `fresh`: the next sign takes the place of the text."""
        if (before, text, behind, fresh) != (self.before, self.text, self.behind, self.fresh):
            self.before, self.text, self.behind, self.fresh = before, text, behind, fresh
            self.refresh()

    def render(self) -> Content:
        lead, unit = f"{printable(self.before)} ", f" {printable(self.behind)}" if self.behind else ""
        room = max(self.content_size.width - cell_len(lead) - cell_len(unit) - 1, 1)
        shown = printable(self.text)[-room:]
        # The terminal's own cursor goes along, for readers of the screen and for signs made of several keys.
        self.app.cursor_position = Offset(self.content_region.x + cell_len(lead + shown), self.content_region.y)
        look = "bold reverse" if self.fresh else "bold underline"
        blank = " " * (room - cell_len(shown)) if unit else ""
        return Content.assemble(
            lead,
            (shown, look),
            (" ", "reverse"),
            (blank, "underline"),
            unit,
        )
