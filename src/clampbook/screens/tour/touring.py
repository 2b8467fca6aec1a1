"""The tour as it is shown: a note in the lower part of the real screen, which stays as it is."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from textual import events
from textual.app import ComposeResult
from textual.containers import Vertical
from textual.screen import ModalScreen
from textual.widgets import Static

from clampbook.help.tour import BENCH, Note, note_at
from clampbook.screens.keyboard import Hands
from clampbook.screens.widgets.bottom_line import BottomLine, KeyHint

if TYPE_CHECKING:
    from clampbook.run.prompts import Prompt
    from clampbook.screens.app import Clampbook

_TALL = 30  # rows
_LEAVES = ("escape", "0")
_KEYS = (KeyHint("Enter", "go on"), KeyHint("0 or Esc", "leave the tour"))


class Tour:
    """The notes that were shown, and whether somebody left. `work` names the procedure that is toured."""

    def __init__(self, work: str) -> None:
        self.work = work
        self.shown: set[str] = set()
        self.left = False

    def at_bench(self, app: Clampbook) -> None:
        """The program has begun."""
        self._show(app, BENCH)

    def at_question(self, app: Clampbook, run: str, prompt: Prompt) -> None:
        """A question of a run was painted; only one work is toured."""
        note = note_at(prompt) if f"-{self.work}-" in run else None
        if note is not None:
            self._show(app, note)

    def leave(self) -> None:
        """No more notes."""
        self.left = True

    def _show(self, app: Clampbook, note: Note) -> None:
        if not self.left and note.place not in self.shown:
            self.shown.add(note.place)
            app.push_screen(TourNote(note, self.leave))


class TourNote(ModalScreen[None], inherit_bindings=False):
    """One note. A key that is none of its own takes it away and acts on the screen below, as if it were not there."""

    AUTO_FOCUS = ""

    def __init__(self, note: Note, leave: Callable[[], None]) -> None:
        super().__init__()
        self.note = note
        self._leave = leave
        self._gone = False

    def compose(self) -> ComposeResult:
        """The note, its keys."""
        with Vertical(id="tour"):
            yield Static(f"Tour: {self.note.text}", markup=False)
            yield BottomLine(_KEYS)

    def on_mount(self) -> None:
        """On a tall screen the line of stages below stays whole."""
        self.query_one("#tour").set_class(self.app.size.height >= _TALL, "-above-stages")

    def on_key(self, event: events.Key) -> None:
        """Go on, leave, or answer the question below."""
        event.stop()
        event.prevent_default()
        below = self.app.screen_stack[-2] if self.is_current else self.app.screen
        if event.key in _LEAVES:
            self._leave()
        self._go()
        if event.key not in (*_LEAVES, "enter") and isinstance(below, Hands):
            self.app.call_later(below.pressed, event.key, event.character, event.time)

    def on_paste(self, event: events.Paste) -> None:
        """Nothing is pasted into a note."""
        event.stop()

    def _go(self) -> None:
        if not self._gone and self.is_current:
            self._gone = True
            self.dismiss()
