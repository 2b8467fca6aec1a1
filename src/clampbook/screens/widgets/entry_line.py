"""The line on which answers stand as they are typed: the screen has the keys, this only shows what they came to."""

from __future__ import annotations

from rich.cells import cell_len
from textual.content import Content
from textual.geometry import Offset
from textual.widgets import Static

from clampbook.text import printable

_LEAST, _ENOUGH = 4, 10  # columns for what is typed, before and while it is, however long the words before it


class EntryLine(Static):
    """The line of an entry: what is asked for, what was typed with the cursor at its end, and the unit; of a line
    too long its end."""

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
        unit = f" {printable(self.behind)}" if self.behind else ""
        most = self.content_size.width - cell_len(unit) - 1
        wanted = min(max(cell_len(printable(self.text)), _LEAST), _ENOUGH)
        lead = _shortened(f"{printable(self.before)} ", most - wanted)
        room = max(most - cell_len(lead), 1)
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


def _shortened(lead: str, columns: int) -> str:
    """Give what is asked for in so many columns, its end left out where it is longer."""
    if cell_len(lead) <= columns:
        return lead
    while lead and cell_len(lead) + 2 > columns:
        lead = lead[:-1]
    return f"{lead.rstrip()}… " if lead.strip() else ""
