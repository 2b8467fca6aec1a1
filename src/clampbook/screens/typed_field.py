"""The field as all screens show it: the screen has the keys, the field only shows what they came to."""

from __future__ import annotations

from textual import events

from clampbook.screens.widgets.reading_field import ReadingField

LONGEST = 200


class TypedField(ReadingField):
    """Shows a line with the cursor at its end. Keys and pastes go on to the screen."""

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__(most=LONGEST, id=id)

    def show(self, text: str) -> None:
        """Put this into the field."""
        if text != self.value:
            self.value = text
        self.cursor_position = len(text)

    def check_consume_key(self, key: str, character: str | None) -> bool:  # noqa: ARG002
        return False

    async def _on_key(self, event: events.Key) -> None:
        event.prevent_default()

    def _on_paste(self, event: events.Paste) -> None:
        event.prevent_default()
