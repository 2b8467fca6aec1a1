"""The side of the drafting screen that is not typed into: rows, one of which is at hand once the keys are there."""

from __future__ import annotations

from typing import ClassVar

from rich.segment import Segment
from rich.style import Style
from textual.binding import Binding, BindingType
from textual.events import Key, Resize
from textual.geometry import Region, Size
from textual.message import Message
from textual.scroll_view import ScrollView
from textual.strip import Strip

from clampbook.screens.draft.rows import Rows
from clampbook.text import printable

_TONES = ("bold", "quiet", "over", "now")


class Beside(ScrollView, can_focus=True):
    """Paints rows; ↑ ↓ go from one that leads into the text to the next, a number to the one that has it."""

    COMPONENT_CLASSES: ClassVar[set[str]] = {f"beside--{tone}" for tone in _TONES}
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("down", "onward(1)", show=False),
        Binding("up", "onward(-1)", show=False),
        Binding("pagedown,space", "page(1)", show=False),
        Binding("pageup", "page(-1)", show=False),
        Binding("home", "end(False)", show=False),
        Binding("end", "end(True)", show=False),
        Binding("enter", "open", show=False),
    ]

    class Opened(Message):
        """The row at hand leads to this line of the text."""

        def __init__(self, line: int) -> None:
            super().__init__()
            self.line = line

    class Resized(Message):
        """The rows are to be made again, for other columns."""

    def __init__(self, *, id: str) -> None:
        super().__init__(id=id)
        self.auto_links = False
        self.rows = Rows(())
        self.at: int | None = None
        self._typed = ""
        self._inks: dict[str, Style] = {}

    def show(self, rows: Rows) -> None:
        """Show these instead; the row at hand stays where it is as far as it can. Only lines that differ are painted
        again."""
        before = self._in_sight()  # at most keys few lines differ, and one takes longer to paint than to compare
        self.rows = rows
        if self.at is not None and not (self.at < len(rows) and rows[self.at].line is not None):
            self.at = None
        self.virtual_size = Size(self.size.width, len(rows))
        lines = enumerate(zip(before, self._in_sight(), strict=True))
        changed = [Region(0, y, self.size.width, 1) for y, (was, now) in lines if was != now]
        if changed:
            self.refresh(*changed)

    def _in_sight(self) -> list[tuple[str, str]]:
        """Give the text and the look of each line that is shown."""
        return [self._line(y + round(self.scroll_y)) for y in range(self.size.height)]

    def _line(self, place: int) -> tuple[str, str]:
        if place >= len(self.rows):
            return "", ""
        row = self.rows[place]
        return printable(row.text), "now" if self.has_focus and place == self.at else row.tone

    def begin(self) -> None:
        """From its first row: what is wrong stands there."""
        self.at = None
        self.scroll_to(y=0, animate=False, immediate=True)
        self.on_focus()

    def action_onward(self, way: int) -> None:
        """To the next row that leads into the text, or the one before; without any it scrolls."""
        self._typed = ""
        start = self.at if self.at is not None else (round(self.scroll_y) - 1 if way > 0 else len(self.rows))
        places = range(start + 1, len(self.rows)) if way > 0 else range(start - 1, -1, -1)
        found = next((place for place in places if self.rows[place].line is not None), None)
        if found is None:
            self.scroll_relative(y=way, animate=False)
        else:
            self._to(found)

    def action_page(self, pages: int) -> None:
        """A page on."""
        self.scroll_relative(y=pages * max(1, self.size.height - 1), animate=False)
        self.at = None
        self.refresh()

    def action_end(self, last: bool) -> None:
        """The first or the last row."""
        self.scroll_to(y=self.max_scroll_y if last else 0, animate=False)
        self.at = None
        self.refresh()

    def action_open(self) -> None:
        """Into the text, at the row at hand, or at the first error where none is."""
        at = self.at if self.at is not None else next((n for n, row in enumerate(self.rows) if row.line), None)
        line = None if at is None else self.rows[at].line
        self._typed = ""
        if line is not None:
            self.post_message(self.Opened(line))

    def on_key(self, event: Key) -> None:
        """Digits choose an error or a query by its number."""
        if event.character is None or not event.character.isdecimal():
            return
        event.stop()
        for typed in (self._typed + event.character, event.character):
            found = next((n for n, row in enumerate(self.rows) if row.number == int(typed)), None)
            if found is not None:
                self._typed = typed
                self._to(found)
                return
        self._typed = ""

    def on_resize(self, _: Resize) -> None:
        """The rows stand in other columns."""
        self.post_message(self.Resized())

    def on_blur(self) -> None:
        """Nothing is at hand while the keys are elsewhere."""
        self.refresh()

    def on_focus(self) -> None:
        """The row at hand is seen."""
        if self.at is None:
            self.at = next((n for n, row in enumerate(self.rows) if row.line is not None), None)
        self.refresh()

    def _to(self, place: int) -> None:
        self.at = place
        self.scroll_to_region(Region(0, place, self.size.width, 1), animate=False)
        self.refresh()

    def notify_style_update(self) -> None:
        super().notify_style_update()
        self._inks.clear()

    def render_line(self, y: int) -> Strip:
        text, tone = self._line(y + round(self.scroll_y))
        ink = self._ink(tone)
        return Strip([Segment(text, ink)]).adjust_cell_length(self.size.width, ink)

    def _ink(self, tone: str) -> Style:
        style = self._inks.get(tone)
        if style is None:
            style = self._inks[tone] = self.get_component_rich_style(f"beside--{tone}") if tone else self.rich_style
        return style
