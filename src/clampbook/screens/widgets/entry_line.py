"""The line on which answers stand as they are typed: the screen has the keys, this only shows what they came to."""

from __future__ import annotations

from rich.cells import cell_len
from rich.segment import Segment
from rich.style import Style
from textual.geometry import Offset
from textual.strip import Strip
from textual.widgets import Static

from clampbook.text import printable

_LEAST, _ENOUGH = 4, 10  # columns for what is typed, before and while it is, however long the words before it
_PLAIN, _ROOM, _CURSOR = Style(), Style(underline=True), Style(reverse=True)
_TYPED, _FRESH = Style(bold=True, underline=True), Style(bold=True, reverse=True)


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

    def render_line(self, y: int) -> Strip:
        """The one row there is. What stands there is said in pieces, so that the toolkit need not find them."""
        if y:
            return Strip.blank(self.size.width, self.visual_style.rich_style)
        ink = self.visual_style.rich_style
        return Strip([Segment(text, ink + look) for text, look in self._pieces() if text])

    def _pieces(self) -> tuple[tuple[str, Style], ...]:
        unit = f" {printable(self.behind)}" if self.behind else ""
        most = self.content_size.width - cell_len(unit) - 1
        wanted = min(max(cell_len(printable(self.text)), _LEAST), _ENOUGH)
        lead = _shortened(f"{printable(self.before)} ", most - wanted)
        room = max(most - cell_len(lead), 1)
        shown = printable(self.text)[-room:]
        # The terminal's own cursor goes along, for readers of the screen and for signs made of several keys.
        self.app.cursor_position = Offset(self.content_region.x + cell_len(lead + shown), self.content_region.y)
        blank = " " * (room - cell_len(shown)) if unit else ""
        look = _FRESH if self.fresh else _TYPED
        return (lead, _PLAIN), (shown, look), (" ", _CURSOR), (blank, _ROOM), (unit, _PLAIN)


def _shortened(lead: str, columns: int) -> str:
    """Give what is asked for in so many columns, its end left out where it is longer."""
    if cell_len(lead) <= columns:
        return lead
    while lead and cell_len(lead) + 2 > columns:
        lead = lead[:-1]
    return f"{lead.rstrip()}… " if lead.strip() else ""
