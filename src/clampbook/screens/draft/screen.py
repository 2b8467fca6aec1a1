"""The drafting screen: the text of a procedure, and beside it what it comes to, made again whenever it changes."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar

from textual import events
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Container
from textual.widgets import Static, TextArea

from clampbook.book.drafting import copies
from clampbook.screens.actions import Action
from clampbook.screens.draft.beside import Beside
from clampbook.screens.draft.help_lines import HELP_LINES
from clampbook.screens.draft.offers import Offers
from clampbook.screens.draft.previewing import Previewing
from clampbook.screens.draft.rows import top_line
from clampbook.screens.draft.sheet_text import SheetText
from clampbook.screens.help_page import HelpPage
from clampbook.screens.hinting import ACTIONS, HELP
from clampbook.screens.widgets.bottom_line import BottomLine, KeyHint
from clampbook.text import as_sentence, ended, printable

if TYPE_CHECKING:
    from clampbook.book.book import Book

_BROAD = 100  # columns from which on both sides are shown
_BACK = KeyHint("Esc", "leave")
_SIDE = KeyHint("F5", "other side")
_KEYS = (
    KeyHint("F8", "save"),
    _SIDE,
    KeyHint("F6", "insert"),
    KeyHint("F7", "next error"),
    KeyHint("F9", "complete"),
    _BACK,
    HELP,
    ACTIONS,
)
_KEYS_BESIDE = (KeyHint("↑ ↓ or number", "choose"), KeyHint("Enter", "go there"), _SIDE, KeyHint("Esc", "back"), HELP)


class Drafting(Previewing, inherit_bindings=False):
    """`book` is the one whose tools and runs are looked at, None where there is none. `text` is what a new file begins
    with. `left` is called once somebody leaves.
    """

    AUTO_FOCUS = "SheetText"
    CSS_PATH = "../styles/drafting.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "leave", show=False),
        Binding("f5", "other_side", show=False),
        Binding("f6", "insert", show=False),
        Binding("f7", "next", show=False),
        Binding("f9,ctrl+@", "offer", show=False),
        Binding("f8,ctrl+s", "save", show=False),
    ]

    def __init__(
        self, path: Path, book: Book | None, text: str | None = None, *, left: Callable[[], None] | None = None
    ):
        super().__init__(path, book, text)
        self.notice = self.keeping.told
        self._left = left
        self._top, self._told = "", ""

    # What stands there.

    def compose(self) -> ComposeResult:
        """Top line, both sides, notice, keys."""
        yield Static(id="top", markup=False)
        with Container(id="both"):
            yield SheetText(self.keeping.text, id="sheet-text")
            with Container(id="aside"):
                yield Beside(id="beside")
                yield Static(id="explained", markup=False)
        yield Offers(id="offers")
        yield Static(id="notice", markup=False)
        yield BottomLine(id="keys")

    def on_mount(self) -> None:
        """The first preview."""
        self.sheet_text.offers = self.query_one(Offers)
        self.app.theme_changed_signal.subscribe(self, lambda _: self.sheet_text.look())
        self._arrange()
        self.paint()
        self.renew()
        self.keeping.ask_about_a_copy(self)

    @property
    def sheet_text(self) -> SheetText:
        """The text that is typed into."""
        return self.query_one(SheetText)

    @property
    def text(self) -> str:
        """The text as it stands now."""
        return self.sheet_text.text

    @property
    def changed(self) -> bool:
        """True where something was typed that is not saved."""
        return self.text not in (self.keeping.saved_text, self.keeping.text)

    def paint(self) -> None:
        """Everything but the text as it is now."""
        saved = self.text == self.keeping.saved_text
        top = top_line(self.path.name, self.preview, saved=saved, width=self.size.width)
        if top != self._top:
            self._top = top
            self.query_one("#top", Static).update(top, layout=False)
        notice = self.query_one("#notice", Static)
        if self.notice or notice.display:
            notice.display = bool(self.notice)
            notice.update(printable(self.notice))
        self.query_one("#keys", BottomLine).show(_KEYS_BESIDE if self.beside.has_focus else _KEYS)

    def tell(self, sentence: str) -> None:
        """Say something, until something is typed."""
        self.notice = sentence
        if self.is_up:
            self.paint()

    def on_resize(self, _: events.Resize) -> None:
        """Both sides, or one; the top line as long as there is room."""
        self._arrange()
        if self.is_up:
            self.paint()

    def _arrange(self) -> None:
        self.set_class(self.size.width < _BROAD, "-narrow")

    # The preview.

    def on_text_area_changed(self, message: TextArea.Changed) -> None:
        """Every change of the text."""
        message.stop()
        self.notice = ""
        self.typed()
        self.paint()
        if self.knows_keys:
            self.sheet_text.offer()
        self.explain_key()

    def on_text_area_selection_changed(self, message: TextArea.SelectionChanged) -> None:
        """The cursor went elsewhere: what stands there is explained."""
        message.stop()
        self.explain_key()

    def on_offers_lit(self) -> None:
        """The line of the list that is at hand is explained."""
        self.explain_key()

    def explain_key(self) -> None:
        """Tell of the key at the cursor, in the words of the reference, once that is loaded."""
        if self.knows_keys:
            from clampbook.screens.draft.explained import explained

            text = self.sheet_text
            offers = self.query_one(Offers)
            lit = offers.chosen if offers.is_open else None
            told = printable(explained(text.document.lines, *text.cursor_location, lit))
            if told != self._told:
                self._told = told
                self.query_one("#explained", Static).update(told, layout=False)

    def before_stop(self) -> None:
        """The program ends: what is not saved is in the copy."""
        if self.is_mounted and self.changed:
            self.keeping.copied(self.text)

    # Keys.

    def action_other_side(self) -> None:
        """F5: the keys go to the other side, which is shown where there is room for one alone."""
        there = not self.beside.has_focus
        self.set_class(there, "-beside")
        (self.beside if there else self.sheet_text).focus()
        if there and self.preview.errors:
            self.beside.begin()
        self.call_after_refresh(self.paint)

    def on_beside_opened(self, message: Beside.Opened) -> None:
        """Enter on a row: to its line."""
        self.go_to(message.line)

    def go_to(self, line: int) -> None:
        """The text, at a line."""
        self.remove_class("-beside")
        self.sheet_text.focus()
        self.sheet_text.go_to(line)
        self.call_after_refresh(self.paint)

    def action_next(self) -> None:
        """F7: to the next error or query below the cursor, else to the first."""
        found = sorted({each.line for each in (self.preview.errors or self.preview.queries) if each.line is not None})
        here = self.sheet_text.cursor_location[0] + 1
        if not found:
            self.tell("There are no errors and no queries.")
            return
        line = next((each for each in found if each > here), found[0])
        self.go_to(line)
        told = next(each for each in (self.preview.errors or self.preview.queries) if each.line == line)
        self.tell(f"Line {line}: {ended(told.text)} {as_sentence(told.hint) if told.hint else ''}".strip())

    def action_insert(self) -> None:
        """F6: a frame to fill in, behind the table at the cursor."""
        from clampbook.screens.draft.inserting import inserting

        self.app.push_screen(inserting(self))

    def action_offer(self) -> None:
        """F9: what may stand at the cursor."""
        if self.knows_keys and self.sheet_text.has_focus:
            self.sheet_text.offer(asked=True)

    def action_save(self) -> None:
        """F8."""
        self.save()

    def save(self, then: Callable[[], None] | None = None) -> None:
        """Save it; `then` is called once it is."""
        self.keeping.save(self, then)

    def action_leave(self) -> None:
        """Esc: back from the other side, else out; what is not saved is asked about."""
        if self.beside.has_focus:
            self.action_other_side()
        elif self.changed:
            self.keeping.ask_before_leaving(self)
        else:
            self.leave()

    def leave(self) -> None:
        """Leave; nothing of the draft is left but its file."""
        copies.forget(self.path)
        self.go_away()

    def go_away(self) -> None:
        """Leave; what was typed stays in its copy."""
        if self._left is not None:
            self._left()
        elif self.is_current:
            self.dismiss()

    def on_sheet_text_refused(self, message: SheetText.Refused) -> None:
        """Tell why a paste is not taken."""
        self.tell(message.sentence)

    def undone(self) -> bool:
        """Ctrl-Z undoes what was typed here, and does not stop the program."""
        self.sheet_text.call_later(self.sheet_text.undo)  # after the keys before it
        return True

    def copied(self) -> bool:
        """Ctrl-C copies what is selected; where nothing is, it stops the program as everywhere."""
        selected = self.sheet_text.selected_text
        if selected:
            self.app.copy_to_clipboard(selected)
        return bool(selected)

    def actions(self) -> tuple[Action, ...]:
        """All that can be done here."""
        return (
            Action("Save", "F8", self.action_save),
            Action("Save under another name", "", lambda: self.keeping.ask_for_another_name(self)),
            Action("Go to the other side", "F5", self.action_other_side),
            Action("Go to the next error or query", "F7", self.action_next),
            Action("Insert a group, stage or layout", "F6", self.action_insert),
            Action("Complete the word at the cursor", "F9", self.action_offer),
            Action("Undo", "Ctrl-Z", self.sheet_text.undo),
            Action("Do again what was undone", "Ctrl-Y", self.sheet_text.redo),
            Action("Leave", "Esc", self.action_leave),
        )

    def explain(self) -> None:
        """F1."""
        self.app.push_screen(HelpPage("Help: drafting", HELP_LINES))
