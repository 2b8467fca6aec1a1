"""The text of a draft: the toolkit's own text area, in our colours, and with what is pasted looked at first."""

from __future__ import annotations

from typing import ClassVar

from textual import events
from textual.binding import Binding, BindingType
from textual.document._document import Selection
from textual.geometry import Offset
from textual.message import Message
from textual.widgets import TextArea

from clampbook.procedure.intake import MOST_BYTES
from clampbook.screens.draft.colouring import colouring
from clampbook.screens.theme import without_colour
from clampbook.text import TextFault, as_sentence, clean

MOST_COLOURED = 60_000  # characters: the toolkit colours the whole text at each key, and keys must not wait for it
_INDENT = 2
_ELSEWHERE = frozenset(
    {"f6", "f7", "ctrl+c", "ctrl+z"}
)  # keys of the toolkit's that the screen, or the program, sees to
_KEYS = {
    key: each.action
    for each in TextArea.BINDINGS
    if isinstance(each, Binding)
    for key in each.key.split(",")
    if key not in _ELSEWHERE
}


class SheetText(TextArea, inherit_bindings=False):
    """Typed into; every other key is the screen's. Nothing goes in that does not show."""

    BINDINGS: ClassVar[list[BindingType]] = []

    class Refused(Message):
        """A paste is not taken; the sentence says why."""

        def __init__(self, sentence: str) -> None:
            super().__init__()
            self.sentence = sentence

    def __init__(self, text: str, *, id: str) -> None:
        super().__init__(
            text, soft_wrap=False, show_line_numbers=True, tab_behavior="focus", id=id, max_checkpoints=1000
        )
        self.cursor_blink = False
        self.indent_width = _INDENT

    def on_mount(self) -> None:
        """In our colours, from the first look on."""
        self.look()
        self.colour()

    def look(self) -> None:
        """The colours of the look that the program has now."""
        chosen = colouring(self.app.theme, without_colour=without_colour())
        self.register_theme(chosen)
        self.theme = chosen.name

    def colour(self) -> None:
        """In colours where the text is short enough for them."""
        wanted = "toml" if sum(map(len, self.document.lines)) <= MOST_COLOURED else None
        if wanted != self.language:
            at, history = self.selection, self.history
            self.language = wanted  # the toolkit makes another document of the same text
            self.history = history
            self.selection = at

    def put(self, text: str) -> None:
        """Other text in place of all of it, which undo takes back."""
        self.history.checkpoint()
        self.replace(text, self.document.start, self.document.end)
        self.history.checkpoint()
        self.move_cursor((0, 0))

    def go_to(self, line: int) -> None:
        """The cursor at the first sign of a line, which is in sight."""
        row = min(line, self.document.line_count) - 1
        text = self.document.get_line(row)
        self.selection = Selection.cursor((row, len(text) - len(text.lstrip())))
        self.scroll_cursor_visible(center=True)

    def scroll_cursor_visible(self, center: bool = False, animate: bool = False) -> Offset:
        """The cursor in sight."""
        # Asked for also in the middle of an undo that leaves fewer lines: the cursor still stands on one that is gone.
        if self.cursor_location[0] >= self.document.line_count:
            return Offset()
        return super().scroll_cursor_visible(center, animate)

    async def _on_key(self, event: events.Key) -> None:
        # The toolkit moves the cursor only once a key has gone through all that is around this: signs that were typed
        # right after it would be there first, in the wrong place.
        if event.key in _KEYS or event.key == "tab":
            event.stop()
            event.prevent_default()
            self.insert(" " * _INDENT) if event.key == "tab" else await self.run_action(_KEYS[event.key])
            return
        await super()._on_key(event)

    async def _on_paste(self, event: events.Paste) -> None:
        event.stop()
        event.prevent_default()
        text = event.text.replace("\r\n", "\n").replace("\r", "\n")
        refused = self._against(text)
        if refused is not None:
            self.post_message(self.Refused(refused))
            return
        self.history.checkpoint()
        self.replace(text, *self.selection)
        self.history.checkpoint()

    def _against(self, text: str) -> str | None:
        """Say why a text cannot be pasted; None where it can."""
        if len(text) + sum(map(len, self.document.lines)) > MOST_BYTES:
            return "With this the text would be larger than 1 MB, too large for a procedure. Nothing pasted."
        try:
            clean(text.replace("\t", " "), what="the pasted text", most=MOST_BYTES, lines=True)
        except TextFault as fault:
            return f"{as_sentence(fault.sentence).removesuffix('Type it again without it.')}Nothing pasted."
        return None
