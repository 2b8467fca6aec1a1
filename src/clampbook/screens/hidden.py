"""Something to be read, and a line typed below it that gives it: a passphrase, which does not show, as a rule."""

from __future__ import annotations

from textual.content import Content
from textual.widgets import Static

from clampbook.screens.hinting import HELP
from clampbook.screens.questions import Question, Questions
from clampbook.screens.widgets.bottom_line import BottomLine, KeyHint
from clampbook.screens.widgets.entry_line import EntryLine
from clampbook.screens.widgets.long_text import LongText
from clampbook.text import as_sentence, printable

_DOWN = KeyHint("PgDn", "read on")
_SIGN = "•"
_MORE = "Read to the end first: press PgDn, then type."


class Hidden(Questions):
    """Asks for passphrases; `reading` is what stands there to be read meanwhile, `deed` what Enter does with one.

    `secret`: False where a mere word is typed, which shows.
    """

    def __init__(self, question: Question, deed: str, leave: str = "back", *, secret: bool = True) -> None:
        self._reading, self._read = "", False
        self._secret = secret
        self._hints = (KeyHint("Enter", deed), KeyHint("Esc", leave), HELP)
        super().__init__(question)

    @property
    def reading(self) -> str:
        """The text that stands there to be read."""
        return self._reading

    @reading.setter
    def reading(self, text: str) -> None:
        self._reading, self._read = text, False

    def read_whole(self) -> bool:
        """Tell whether all of it has been on the screen, up to its last line; says what to do where not."""
        listed = self.query_one("#listed", LongText)
        self._read = self._read or round(listed.scroll_y) >= listed.max_scroll_y
        if not self._read:
            self.field = ""
            self.tell(_MORE)
        return self._read

    def refuse(self, sentence: str) -> None:
        """Tell why nothing came of it. Each try costs up to a second, so lines that were typed meanwhile are not tried
        as well: many of them in a row would hold the screen for as many seconds."""
        self.tell(as_sentence(sentence))
        self.ask_anew()
        self.show_field()

    def keys(self) -> tuple[KeyHint, ...]:
        """The keys in use."""
        return self._hints if not self.longer else (self._hints[0], _DOWN, *self._hints[1:])

    def listed(self) -> Content:
        """Give the text that is to be read."""
        return Content("\n").join(Content(printable(line)) for line in self.reading.splitlines())

    def show_field(self) -> None:
        """Show how much was typed of a passphrase, and nothing of what; a word as it is."""
        before, shown = ("passphrase", _SIGN * len(self.field)) if self._secret else ("word", self.field)
        self.query_one(EntryLine).show(before, shown)
        self.query_one("#choices", Static).update(self.listed())
        self.query_one("#keys", BottomLine).show(self.keys())

    def other_key(self, key: str) -> None:
        """A text longer than the screen scrolls."""
        listed = self.query_one("#listed", LongText)
        page = max(1, listed.size.height - 1)
        ways = {"up": -1, "down": 1, "pageup": -page, "pagedown": page}
        if key in ways:
            listed.scroll_relative(y=ways[key], animate=False)
            self._read = self._read or round(listed.scroll_y) >= listed.max_scroll_y

    def take_arrived(self, line: str) -> None:
        """Take what comes faster than a person types as a passphrase too; it is not shown."""
        self.take(line)

    def back(self) -> None:
        """Nothing came of it."""
        if self.is_current:
            self.dismiss()
