"""A bare program of the same toolkit that writes what is typed as a line, makes it safe on the disk, and counts it.

Its one argument is the file that it writes to.
"""

from __future__ import annotations

import os
import sys
from typing import ClassVar

from textual.app import App, ComposeResult
from textual.binding import Binding, BindingType
from textual.widgets import Footer, Header, Input, Label

ASKED = "Type something here"


class BareStoring(App[None]):
    """Header, label, input, footer."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("f10", "quit", "Quit")]

    def __init__(self, path: str) -> None:
        super().__init__()
        self._lines = 0
        self._file = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_APPEND, 0o600)

    def compose(self) -> ComposeResult:
        """What was stored stands above the input."""
        yield Header()
        yield Label("Nothing is stored")
        yield Input(placeholder=ASKED)
        yield Footer()

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """One line, safe on the disk before it is told."""
        os.write(self._file, f"{event.value}\n".encode())
        os.fsync(self._file)
        self._lines += 1
        self.query_one(Label).update(f"Stored {self._lines}: {event.value}")
        event.input.clear()


if __name__ == "__main__":
    BareStoring(sys.argv[1]).run()
