"""The drafting screen: the text of a procedure, and beside it what it comes to, made again whenever it changes."""

from __future__ import annotations

from collections.abc import Callable
from importlib import import_module
from pathlib import Path
from time import perf_counter
from typing import TYPE_CHECKING, ClassVar

from textual import events, work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Container
from textual.timer import Timer
from textual.widgets import Static, TextArea
from textual.worker import Worker, WorkerState

from clampbook.book.drafting import copies
from clampbook.book.drafting.preview import Preview, previewed
from clampbook.screens.actions import Action
from clampbook.screens.draft.beside import Beside
from clampbook.screens.draft.help_lines import HELP_LINES
from clampbook.screens.draft.keeping import Keeping
from clampbook.screens.draft.offers import Offers
from clampbook.screens.draft.rows import rows, state
from clampbook.screens.draft.sheet_text import SheetText
from clampbook.screens.help_page import HelpPage
from clampbook.screens.hinting import ACTIONS, HELP
from clampbook.screens.scoped import Scoped
from clampbook.screens.widgets.bottom_line import BottomLine, KeyHint
from clampbook.text import as_sentence, printable

if TYPE_CHECKING:
    from clampbook.book.book import Book
    from clampbook.tools.model import Stock

_BROAD = 100  # columns from which on both sides are shown
CALM = 0.4  # seconds without a key after which errors are told, and at the latest a copy is kept
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


class Drafting(Scoped, inherit_bindings=False):
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
        super().__init__()
        self.path, self.book = path, book
        self.keeping = Keeping(path, book, text)
        self.preview, self.last_sound = Preview(), Preview()
        self.notice = self.keeping.told
        self._left = left
        self._stock: Stock | None = None
        self._looked_for_tools = False
        self._version = 0
        self._made_of = -1  # the version of the text that the newest preview was made of
        self._newest = Preview()
        self._busy = False
        self._knows_keys = False  # until what explains them is loaded
        self._calm: Timer | None = None
        self._copying: Timer | None = None

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
        self._renew()
        self.keeping.ask_about_a_copy(self)

    @property
    def sheet_text(self) -> SheetText:
        """The text that is typed into."""
        return self.query_one(SheetText)

    @property
    def beside(self) -> Beside:
        """The other side."""
        return self.query_one(Beside)

    @property
    def text(self) -> str:
        """The text as it stands now."""
        return self.sheet_text.text

    @property
    def changed(self) -> bool:
        """True where something was typed that is not saved."""
        return self.text not in (self.keeping.saved_text, self.keeping.text)

    @property
    def at_work(self) -> bool:
        """True while a preview or a copy is being made, or will be once nothing more is typed."""
        waiting = self._calm is not None or self._copying is not None
        return self._made_of != self._version or waiting or any(not each.is_finished for each in self.workers)

    def paint(self) -> None:
        """Everything but the text as it is now."""
        saved = "saved" if self.text == self.keeping.saved_text else "not saved"
        self.query_one("#top", Static).update(printable(f"{self.path.name} · {state(self.preview)} · {saved}"))
        notice = self.query_one("#notice", Static)
        notice.display = bool(self.notice)
        notice.update(printable(self.notice))
        self.query_one("#keys", BottomLine).show(_KEYS_BESIDE if self.beside.has_focus else _KEYS)

    def tell(self, sentence: str) -> None:
        """Say something, until something is typed."""
        self.notice = sentence
        if self.is_up:
            self.paint()

    def on_resize(self, _: events.Resize) -> None:
        """Both sides, or one."""
        self._arrange()

    def _arrange(self) -> None:
        self.set_class(self.size.width < _BROAD, "-narrow")

    # The preview.

    def on_text_area_changed(self, message: TextArea.Changed) -> None:
        """Every change of the text."""
        message.stop()
        self._version += 1
        self.notice = ""
        self._in_a_while()
        self._renew()
        self.paint()
        if self._knows_keys:
            self.sheet_text.offer()

    def on_text_area_selection_changed(self, message: TextArea.SelectionChanged) -> None:
        """The cursor went elsewhere: what stands there is explained."""
        message.stop()
        self._explain()

    def _explain(self) -> None:
        """Tell of the key at the cursor, in the words of the reference, once that is loaded."""
        if self._knows_keys:
            from clampbook.screens.draft.explained import explained

            text = self.sheet_text
            self.query_one("#explained", Static).update(
                printable(explained(text.document.lines, *text.cursor_location))
            )

    def _in_a_while(self) -> None:
        if self._calm is not None:
            self._calm.stop()
        self._calm = self.set_timer(CALM, self._show_errors)
        if self._copying is None:
            self._copying = self.set_timer(CALM, self._keep_a_copy)

    def _renew(self) -> None:
        """Make the preview of what stands there now, unless one is being made: that one is followed by another."""
        if not self._busy and self.is_up:
            self._busy = True
            self._make(self.text, self._version)

    @work(thread=True, exit_on_error=False)
    def _make(self, text: str, version: int) -> None:
        begun = perf_counter()
        stock = self._tools()
        made = previewed(text.encode(), self.path, stock, self.keeping.since)
        took = perf_counter() - begun
        if not self._knows_keys:
            import_module("clampbook.screens.draft.explained")  # takes a moment, which no key waits for
        self.from_thread(self._made, made, version, took)

    def _tools(self) -> Stock | None:
        """The tools of the book, read once; without those that cannot be read."""
        if not self._looked_for_tools:
            from clampbook.book import toolbox

            self._looked_for_tools = True
            self._stock = None if self.book is None else toolbox.stock_or_fault(self.book)[0]
        return self._stock

    def _made(self, made: Preview, version: int, took: float) -> None:
        self._busy, self._made_of, self._newest = False, version, made
        if not self._knows_keys:
            self._knows_keys = True
            self._explain()
        if version != self._version:
            # Not at once again: whoever types has at least half of the machine.
            self.set_timer(took, self._renew)
        if not made.errors or self._calm is None:
            self._show(made)

    def on_worker_state_changed(self, event: Worker.StateChanged) -> None:
        """An error that nobody foresaw, in a preview or a copy, is told, and keeps nobody from typing or saving."""
        if event.state == WorkerState.ERROR:
            self._busy, self._made_of = False, self._version
            self.tell(f"Unexpected error ({type(event.worker.error).__name__}). The text can be saved: press F8.")

    def _show_errors(self) -> None:
        """Nothing was typed for a while: what is wrong now is told."""
        self._calm = None
        self._show(self._newest)

    def _show(self, made: Preview) -> None:
        self.preview = made
        if not made.errors:
            self.last_sound = made
        self._lay_out()
        self.paint()

    def _lay_out(self) -> None:
        since = "" if self.keeping.since is None else self.keeping.since.revision
        self.beside.show(rows(self.preview, self.last_sound, since, max(20, self.beside.size.width - 1)))

    def on_beside_resized(self) -> None:
        """The other side has other columns."""
        self._lay_out()

    # The copy.

    def _keep_a_copy(self) -> None:
        self._copying = None
        self._copy(self.text)

    @work(thread=True, exit_on_error=False, group="copy")
    def _copy(self, text: str) -> None:
        told = self.keeping.copied(text)
        if told:
            self.from_thread(self.tell, told)

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
        self.tell(f"Line {line}: {as_sentence(told.text)} {as_sentence(told.hint) if told.hint else ''}".strip())

    def action_insert(self) -> None:
        """F6: a frame to fill in, behind the table at the cursor."""
        from clampbook.screens.draft.inserting import inserting

        self.app.push_screen(inserting(self))

    def action_offer(self) -> None:
        """F9: what may stand at the cursor."""
        if self._knows_keys and self.sheet_text.has_focus:
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
