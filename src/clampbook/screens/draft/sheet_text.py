"""The text of a draft: the toolkit's own text area, in our colours, and with what is pasted looked at first."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, ClassVar

from textual import events
from textual.binding import Binding, BindingType
from textual.document._document import Selection
from textual.geometry import Offset
from textual.message import Message
from textual.widgets import TextArea

from clampbook.procedure.intake import MOST_BYTES
from clampbook.screens.draft.colouring import colouring
from clampbook.screens.draft.offers import Offers
from clampbook.screens.theme import without_colour
from clampbook.text import TextFault, as_sentence, clean

if TYPE_CHECKING:
    from clampbook.help.at_cursor import Offered

MOST_COLOURED = 60_000  # characters: the toolkit colours the whole text at each key, and keys must not wait for it
_INDENT = 2
_EMPTY = re.compile(r'[^"#]*""')  # a value that nobody has typed yet
_REST_OF_A_KEY = re.compile(r"([A-Za-z_]*)\s*=")
_ELSEWHERE = frozenset(
    {"f6", "f7", "ctrl+c", "ctrl+z"}
)  # keys of the toolkit's that the screen, or the program, sees to
_KEYS = (
    {
        key: each.action
        for each in TextArea.BINDINGS
        if isinstance(each, Binding)
        for key in each.key.split(",")
        if key not in _ELSEWHERE
    }
    | {  # what the toolkit lacks, or does with the cursor out of sight
        f"{shift}{key}": f"{action}{selects})"
        for shift, selects in (("", ", False"), ("shift+", ", True"))
        for key, action in (("pagedown", "page(1"), ("pageup", "page(-1"))
    }
    | {
        f"ctrl+{shift}{key}": f"whole({end}, {bool(shift)})"
        for shift in ("", "shift+")
        for key, end in (("home", False), ("end", True))
    }
)


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
        self._offered_at = (0, 0)
        self.offers: Offers | None = None  # over the text, once it is mounted
        self._typed = False  # True while changes come from keys, and not from a paste or an undo
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

    def undo(self) -> None:
        """The last change is taken back, and nothing is offered."""
        self._typed = False
        super().undo()

    def put(self, text: str) -> None:
        """Other text in place of all of it, which undo takes back."""
        self.history.checkpoint()
        self.replace(text, self.document.start, self.document.end)
        self.history.checkpoint()
        self.move_cursor((0, 0))

    def go_to(self, line: int) -> None:
        """The cursor at the first sign of a line, or where its value is still to be typed; the line is in sight."""
        row = min(line, self.document.line_count) - 1
        text = self.document.get_line(row)
        empty = _EMPTY.match(text)
        self.selection = Selection.cursor((row, len(text) - len(text.lstrip()) if empty is None else empty.end() - 1))
        self.scroll_cursor_visible(center=True)

    def scroll_cursor_visible(self, center: bool = False, animate: bool = False) -> Offset:
        """The cursor in sight."""
        # Asked for also in the middle of an undo that leaves fewer lines: the cursor still stands on one that is gone.
        if self.cursor_location[0] >= self.document.line_count:
            return Offset()
        return super().scroll_cursor_visible(center, animate)

    def action_page(self, pages: int, select: bool) -> None:
        """A page on, with the cursor in sight at the end of it."""
        rows = max(1, self.scrollable_content_region.height - 1)
        self.scroll_to(y=self.scroll_y + pages * rows, animate=False, immediate=True)
        self.move_cursor(self.navigator.get_location_at_y_offset(self.cursor_location, pages * rows), select=select)

    def action_whole(self, end: bool, select: bool) -> None:
        """To the end of all of it, or to its beginning."""
        self.move_cursor(self.document.end if end else self.document.start, select=select)

    async def _on_key(self, event: events.Key) -> None:
        if self.offers is not None and self.offers.is_open and self._of_the_list(event.key):
            event.stop()
            event.prevent_default()
            return
        self._typed = event.is_printable or event.key == "backspace"
        # The toolkit moves the cursor only once a key has gone through all that is around this: signs that were typed
        # right after it would be there first, in the wrong place.
        if event.key in _KEYS or event.key == "tab":
            event.stop()
            event.prevent_default()
            self.insert(" " * _INDENT) if event.key == "tab" else await self.run_action(_KEYS[event.key])
            return
        await super()._on_key(event)

    # What may stand at the cursor.

    def _of_the_list(self, key: str) -> bool:
        """Take a key that is the list's; any other goes on as usual."""
        assert self.offers is not None
        match key:
            case "up" | "down":
                self.offers.onward(1 if key == "down" else -1)
            case "tab" | "enter":
                self._take(self.offers.chosen)
            case "escape":
                self.offers.close()
            case _:
                return False
        return True

    def offer(self, *, asked: bool = False) -> None:
        """Offer what may stand at the cursor: once something of it was typed, or where somebody asks."""
        from clampbook.help.at_cursor import offered, spot

        typed = self._typed or asked
        if self.offers is None:
            return
        row, column = self.cursor_location
        lines = self.document.lines
        here = spot(lines, row, column) if typed else None
        begun = here is not None and (bool(here.typed) or here.quoted or asked)
        found = offered(here, lines, row) if here is not None and begun else ()
        self._offered_at = (row, column - len(here.typed) if here is not None else column)
        self.offers.offer(found, self.cursor_screen_offset, self.screen.size.width)

    def _take(self, chosen: Offered) -> None:
        """Put what is offered in place of what was typed of it; before an = that is there already, its name alone."""
        assert self.offers is not None
        self.offers.close()
        row, column = self.cursor_location
        rest = _REST_OF_A_KEY.match(self.document.get_line(row), column)
        text, back = (chosen.name, 0) if rest is not None and "=" in chosen.text else (chosen.text, chosen.back)
        end = (row, column if rest is None else rest.end(1))
        result = self.replace(text, self._offered_at, end, maintain_selection_offset=False)
        self.move_cursor((result.end_location[0], result.end_location[1] - back))
        self._typed = True  # what belongs into it is offered at once

    def add_table(self, text: str) -> None:
        """A table more, behind the one that the cursor stands in; the cursor where its first value belongs."""
        from clampbook.help.at_cursor import next_header

        lines = self.document.lines
        at = next_header(lines, self.cursor_location[0])
        while at < len(lines) and at - 1 > self.cursor_location[0] and lines[at - 1].startswith("#"):
            at -= 1  # a comment belongs to what it stands above
        if at >= len(lines):
            before = "" if not lines[-1] else "\n"
            before += "\n" if len(lines) > 1 and lines[-2 if not before else -1] else ""
            start, whole = self.document.end, before + text
        else:
            start, whole = (at, 0), f"{text}\n"
        self.history.checkpoint()
        self.insert(whole, start)
        self.history.checkpoint()
        ahead = whole.partition('""')[0]
        row = start[0] + ahead.count("\n")
        column = len(ahead.rpartition("\n")[2]) + (start[1] if "\n" not in ahead else 0)
        self.move_cursor((row, column + 1) if '""' in whole else (row, 0), center=True)

    async def _on_paste(self, event: events.Paste) -> None:
        event.stop()
        event.prevent_default()
        self._typed = False
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
