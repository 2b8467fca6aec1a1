"""A screen of plain questions: one sentence, choices by number, a field, the keys. The bench is one, for example."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar, Literal

from msgspec import Struct
from textual import events
from textual.app import ComposeResult
from textual.content import Content
from textual.geometry import Size
from textual.widgets import Static

from clampbook.screens.choosing import CHOSEN, choices_shown
from clampbook.screens.hinting import GO_ON, among, before_field, keys_of
from clampbook.screens.key_meaning import Asked, Row, Wanted, of_part
from clampbook.screens.keyboard import ALWAYS, Hands
from clampbook.screens.widgets.bottom_line import BottomLine, KeyHint, arranged
from clampbook.screens.widgets.entry_line import EntryLine
from clampbook.screens.widgets.long_text import LongText
from clampbook.screens.widgets.sentence import Sentence
from clampbook.screens.widgets.text_block import rows_of
from clampbook.text import printable

if TYPE_CHECKING:
    from clampbook.run.gather.draft import Draft, Named

_PAGES = {"pageup": -1, "pagedown": 1}
_BEFORE = 1  # rows before the chosen line that are shown with it
_LEAST_LIST = 2  # rows


class Line(Struct, frozen=True):
    """One line of a list: its number and what stands there."""

    key: str
    text: str


class Question(Struct, frozen=True):
    """A question of a screen itself, made like a part of an answer."""

    name: str
    text: str
    kind: Literal["line", "choice"]
    choices: tuple[Row, ...] = ()
    enter: str = ""


class Questions(Hands):
    """Asks one part after the other; what is asked and what comes of it is said by each screen of this kind."""

    then: ClassVar[tuple[str, ...]] = ()  # what happens once it is answered, for its help
    enter: KeyHint = GO_ON  # what Enter does with an answer

    def __init__(self, part: Asked) -> None:
        super().__init__()
        self.part = part
        self.notice = ""
        self._painted_in = Size(0, 0)

    def compose(self) -> ComposeResult:
        """Top line, sentence, list, field, notice, keys."""
        yield Static(id="top", markup=False)
        yield Sentence(id="sentence")
        with LongText(id="listed"):
            yield Static(id="choices", markup=False)
        yield EntryLine(id="field")
        yield Static(id="notice", markup=False)
        yield BottomLine(id="keys")

    def on_mount(self) -> None:
        """The first question."""
        self.ask()

    def on_resize(self, _: events.Resize) -> None:
        """The same in other columns."""
        if self.is_up and self.app.size != self._painted_in:
            self.paint()

    def ask(self, part: Asked | None = None) -> None:
        """Ask this now."""
        self.part = part or self.part
        self.field, self.fresh = "", False
        self.paint()
        self.painted_at = ALWAYS  # nothing is stored here, so a quick hand may be ahead

    def heading(self) -> str:
        """Give the text of the top line."""
        return ""

    def explain(self) -> None:
        """F1: what is asked, which keys answer it, and what happens then."""
        from clampbook.screens.help_page import HelpPage
        from clampbook.screens.question_help import help_at

        self.app.push_screen(HelpPage("Help", help_at(self.part, self.want(), self.keys(), self.then)))

    def listed(self) -> Content:
        """The list as it is shown."""
        return choices_shown(self.part.choices, self.field, self.columns)

    @property
    def columns(self) -> int:
        """The columns that the list may have, with a bar at its side where it is long."""
        return self.size.width - 3

    def keys(self) -> tuple[KeyHint, ...]:
        """The keys in use."""
        return keys_of(self.part, self.enter)

    @property
    def longer(self) -> bool:
        """True where the list is longer than its place, as far as that is known already."""
        return self.is_up and self.query_one("#listed", LongText).max_scroll_y > 0

    def want(self) -> Wanted:
        """Give what the part takes."""
        return of_part(self.part)

    def picked(self, line: str) -> int | None:
        """The place in the list of what a number names; None where nothing has it, which is told."""
        number, keys = line.strip(), [choice.key for choice in self.part.choices]
        self.field = ""
        if number not in keys:
            self.tell(among(keys) if number else "")
            return None
        self.notice = ""
        self.paint()
        return keys.index(number)

    def given(self, line: str, named: Named) -> Draft | None:
        """Read what a line answers to the part at hand; None where it cannot be taken, or is asked about."""
        from clampbook.ledger.refusals import LedgerFault
        from clampbook.run.answers import Refused
        from clampbook.run.gather.draft import Draft, Part, take
        from clampbook.text import TextFault

        assert isinstance(self.part, Part)
        try:
            given = take(Draft("asked"), self.part, line, named)
        except (LedgerFault, TextFault) as fault:
            given = Refused(fault.sentence)
        if isinstance(given, Refused):
            self.field = ""
            self.tell(given.sentence)
            return None
        self.notice = ""
        if given.asks is None:
            return given
        self.ask(given.asks)
        self.ask_anew()
        return None

    def back_to_the_name(self) -> bool:
        """Ask again for a name, where the one that was typed is asked about; False where none is."""
        from clampbook.run.gather.draft import Part

        if not isinstance(self.part, Part) or self.part.about is None:
            return False
        self.ask(self.part.about)
        return True

    def show_field(self) -> None:
        """Field and list, in which the chosen line is marked and in sight."""
        self.query_one(EntryLine).show(before_field(self.part), self.field, fresh=self.fresh)
        content = self.listed()
        self.query_one("#choices", Static).update(content)
        chosen = next((span for span in content.spans if span.style == CHOSEN), None)
        if chosen is not None:
            self.call_after_refresh(self._in_sight, *(content.plain[:end].count("\n") for end in chosen[:2]))

    def _in_sight(self, first: int, last: int) -> None:
        """The list shows these rows of it, with something of what stands before them."""
        listed = self.query_one("#listed", LongText)
        top, rows = round(listed.scroll_y), listed.size.height
        if first < top + _BEFORE or last >= top + rows:
            # Its beginning is shown, whatever it takes; then its end, then the row before it.
            listed.scroll_to(y=max(0, min(first, max(first - _BEFORE, last - rows + 1))), animate=False)

    def tell(self, sentence: str) -> None:
        """Say something that is no answer."""
        self.notice = sentence
        if self.is_up:
            self.paint()

    def other_key(self, key: str) -> None:
        """Up and down walk through the choices; a long list turns a page at a time, too."""
        if key in _PAGES:
            listed = self.query_one("#listed", LongText)
            listed.scroll_relative(y=_PAGES[key] * max(1, listed.size.height - 1), animate=False)
            return
        keys = [choice.key for choice in self.part.choices]
        if key not in ("up", "down") or not keys:
            return
        at = keys.index(self.field) if self.field in keys else (-1 if key == "down" else 0)
        self.field, self.fresh = keys[(at + (1 if key == "down" else -1)) % len(keys)], True
        self.show_field()

    def paint(self) -> None:
        """Everything as it is now."""
        self._painted_in = self.app.size
        self.query_one("#top", Static).update(printable(self.heading()))
        self.query_one("#sentence", Sentence).say(self.part.text, self.size.width)
        notice = self.query_one("#notice", Static)
        notice.display = bool(self.notice)
        notice.update(printable(self.notice))
        keys = self.keys()
        self.query_one("#keys", BottomLine).show(keys)
        width = self.size.width - 2
        texts = (self.part.text, self.notice) if self.notice else (self.part.text,)
        others = sum(rows_of(Content(printable(text)), width) for text in texts) + len(arranged(keys, width)[0])
        self.call_after_refresh(self._keys_anew, keys)
        # Whatever the list holds, all else stays on the screen: top line, field, and what was just counted.
        self.query_one("#listed", LongText).styles.max_height = max(_LEAST_LIST, self.size.height - others - 2)
        self.show_field()

    def _keys_anew(self, painted: tuple[KeyHint, ...]) -> None:
        """Other keys once everything has its place, such as those that read on in a long text."""
        if self.is_up and self.keys() != painted:
            self.paint()
