"""The one field of a screen: a line to type on, with nothing filled in, nothing suggested and nothing that blinks."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from textual import events
from textual.binding import Binding, BindingType
from textual.message import Message
from textual.strip import Strip
from textual.widgets import Input

from clampbook.text import TextFault, clean

LONGEST_READING = 40


class ReadingField(Input, inherit_bindings=False):
    """One line of text that leaves by Enter.

    While it is empty, the signs in `keys_while_empty` are not text but keys: they are left to the screen.
    """

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("left", "cursor_left", show=False),
        Binding("right", "cursor_right", show=False),
        Binding("home", "home", show=False),
        Binding("end", "end", show=False),
        Binding("backspace", "back", show=False),
        Binding("delete", "delete_right", show=False),
        Binding("enter", "submit", show=False),
    ]

    @dataclass
    class Taken(Message):
        """Enter on what was typed, exactly as typed."""

        field: ReadingField
        text: str

        @property
        def control(self) -> ReadingField:
            return self.field

    @dataclass
    class NothingTyped(Message):
        """Enter on an empty field, which answers nothing."""

        field: ReadingField

        @property
        def control(self) -> ReadingField:
            return self.field

    @dataclass
    class BackAsked(Message):
        """Backspace on an empty field."""

        field: ReadingField

        @property
        def control(self) -> ReadingField:
            return self.field

    @dataclass
    class NotTaken(Message):
        """Something typed or pasted does not fit; the sentence says why."""

        field: ReadingField
        sentence: str

        @property
        def control(self) -> ReadingField:
            return self.field

    def __init__(
        self,
        *,
        most: int = LONGEST_READING,
        keys_while_empty: frozenset[str] = frozenset(),
        id: str | None = None,
        classes: str | None = None,
    ) -> None:
        super().__init__(max_length=most, select_on_focus=False, compact=True, id=id, classes=classes)
        self.cursor_blink = False
        self.keys_while_empty = keys_while_empty

    @property
    def empty(self) -> bool:
        """Whether nothing stands in the field."""
        return not self.value

    def check_consume_key(self, key: str, character: str | None) -> bool:
        return not self._is_key(character) and super().check_consume_key(key, character)

    async def _on_key(self, event: events.Key) -> None:
        # Preventing the default keeps the sign out of the line and still lets it go on to the screen; any other key
        # is taken by the base class, whose handler the toolkit calls after this one.
        if self._is_key(event.character):
            event.prevent_default()

    def _on_paste(self, event: events.Paste) -> None:
        """Take the first line of what was pasted, whole or not at all."""
        event.stop()
        event.prevent_default()
        line = next(iter(event.text.splitlines()), "")
        try:
            text = clean(line, what="what was pasted", most=(self.max_length or len(line)) - len(self.value))
        except TextFault as fault:
            self.post_message(self.NotTaken(self, fault.sentence))
            return
        if text:
            self.insert_text_at_cursor(text)

    def render_line(self, y: int) -> Strip:
        """The line to write on, underlined as far as it goes, also where nothing stands yet."""
        strip = super().render_line(y)
        return strip.adjust_cell_length(max(strip.cell_length, self.size.width), self.rich_style)

    def restricted(self) -> None:
        """Called by the toolkit instead of a change that would make the line too long."""
        sentence = f"the field has room for {self.max_length} characters: Enter keeps what stands there"
        self.post_message(self.NotTaken(self, sentence))

    def action_back(self) -> None:
        """Take one character back; with none left, ask the screen to go back."""
        if self.empty:
            self.post_message(self.BackAsked(self))
        else:
            self.action_delete_left()

    async def action_submit(self) -> None:
        if self.empty:
            self.post_message(self.NothingTyped(self))
        else:
            self.post_message(self.Taken(self, self.value))

    def _is_key(self, character: str | None) -> bool:
        return self.empty and character is not None and character in self.keys_while_empty
