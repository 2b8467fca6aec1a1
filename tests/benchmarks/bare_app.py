"""A bare program of the same toolkit: header, input, footer. What it costs to start is the toolkit's own price."""

from __future__ import annotations

from typing import ClassVar

from textual.app import App, ComposeResult
from textual.binding import Binding, BindingType
from textual.widgets import Footer, Header, Input

ASKED = "Type something here"


class Bare(App[None]):
    """Header, input, footer."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("f10", "quit", "Quit")]

    def compose(self) -> ComposeResult:
        """The three of them."""
        yield Header()
        yield Input(placeholder=ASKED)
        yield Footer()


if __name__ == "__main__":
    Bare().run()
