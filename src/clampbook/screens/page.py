"""A page to read: help, a procedure, a record. Nothing is asked; Esc goes back."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from textual import events
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.content import Content
from textual.widgets import Static

from clampbook.screens.scoped import Scoped
from clampbook.screens.widgets.bottom_line import BottomLine, KeyHint
from clampbook.screens.widgets.long_text import LongText
from clampbook.screens.widgets.sentence import Sentence
from clampbook.text import printable

_SCROLLED = (KeyHint("↑ ↓", "scroll"), KeyHint("PgUp PgDn", "page"))
KEYS = (*_SCROLLED, KeyHint("Esc", "back"))
KEYS_BEFORE_WORK = (*_SCROLLED, KeyHint("Enter", "go on"))


class Page(Scoped, inherit_bindings=False):
    """A heading and lines below it; a line that begins with "# " is a heading of its own."""

    AUTO_FOCUS = ""
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,asterisk,enter,f1", "leave", show=False),
        Binding("down", "scroll(1)", show=False),
        Binding("up", "scroll(-1)", show=False),
        Binding("pagedown,space", "turn(1)", show=False),
        Binding("pageup", "turn(-1)", show=False),
        Binding("home", "end(False)", show=False),
        Binding("end", "end(True)", show=False),
    ]

    def __init__(self, heading: str, lines: Sequence[str], keys: tuple[KeyHint, ...] = KEYS) -> None:
        super().__init__(classes="page")
        self.heading = heading
        self._keys = keys
        self.lines_shown = tuple(lines)

    def compose(self) -> ComposeResult:
        """The heading, the lines, the keys."""
        yield Sentence(self.heading)
        with LongText(id="page"):
            yield Static(_content(self.lines_shown), markup=False)
        yield BottomLine(self._keys)

    def on_paste(self, event: events.Paste) -> None:
        """Nothing is pasted into a page."""
        event.stop()

    def action_leave(self) -> None:
        """Back to where the page was opened."""
        if self.is_current:
            self.dismiss()

    @property
    def moved(self) -> VerticalScroll:
        """The place that moves below the heading."""
        return self.query_one("#page", LongText)

    def action_scroll(self, lines: int) -> None:
        """Some lines on."""
        self.moved.scroll_relative(y=lines, animate=False)

    async def action_turn(self, pages: int) -> None:
        """A page on."""
        self.moved.scroll_relative(y=pages * max(1, self.moved.size.height - 1), animate=False)

    def action_end(self, last: bool) -> None:
        """The first or the last line."""
        self.moved.scroll_to(y=self.moved.max_scroll_y if last else 0, animate=False)


def _content(lines: Sequence[str]) -> Content:
    styled = (
        Content.styled(printable(line[2:]), "bold underline") if line.startswith("# ") else Content(printable(line))
        for line in lines
    )
    return Content("\n").join(styled)
