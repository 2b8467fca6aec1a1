"""A draft's preview and its copy, both made beside the keys: after each key, and once nothing is typed for a while."""

from __future__ import annotations

from abc import abstractmethod
from importlib import import_module
from pathlib import Path
from time import perf_counter
from typing import TYPE_CHECKING

from textual import work
from textual.timer import Timer
from textual.worker import Worker, WorkerState

from clampbook.book.drafting.preview import Preview, previewed
from clampbook.run.told.places import fasteners
from clampbook.screens.at_once import paint
from clampbook.screens.draft.beside import Beside
from clampbook.screens.draft.keeping import Keeping
from clampbook.screens.draft.rows import Row, joint, rows
from clampbook.screens.scoped import Scoped

if TYPE_CHECKING:
    from clampbook.book.book import Book
    from clampbook.tools.model import Stock

CALM = 0.4  # seconds without a key after which errors are told, and at the latest a copy is saved
_LEAST = 20  # columns of the other side


class Previewing(Scoped, inherit_bindings=False):
    """A screen with a text and the rows that tell what it comes to; `version` counts the changes of the text."""

    def __init__(self, path: Path, book: Book | None, text: str | None) -> None:
        super().__init__()
        self.path, self.book = path, book
        self.keeping = Keeping(path, book, text)
        self.preview, self.last_sound = Preview(), Preview()
        self.knows_keys = False  # until what explains them is loaded
        self._stock: Stock | None = None
        self._looked_for_tools = False
        self._drawn_of: tuple[object, ...] = ()
        self._drawn: tuple[Row, ...] = ()
        self._version = 0
        self._made_of = -1  # the version of the text that the newest preview was made of
        self._newest = Preview()
        self._busy = False
        self._calm: Timer | None = None
        self._copying: Timer | None = None

    @property
    @abstractmethod
    def text(self) -> str:
        """Give the text as it stands now."""

    @abstractmethod
    def paint(self) -> None:
        """Show everything but the text as it is now."""

    @abstractmethod
    def tell(self, sentence: str) -> None:
        """Say something."""

    @abstractmethod
    def explain_key(self) -> None:
        """Tell of the key at the cursor."""

    @property
    def beside(self) -> Beside:
        """The side with the rows."""
        return self.query_one(Beside)

    @property
    def at_work(self) -> bool:
        """True while a preview or a copy is being made, or will be once nothing more is typed."""
        waiting = self._calm is not None or self._copying is not None
        return self._made_of != self._version or waiting or any(not each.is_finished for each in self.workers)

    def typed(self) -> None:
        """The text has changed."""
        self._version += 1
        self._in_a_while()
        self.renew()

    def _in_a_while(self) -> None:
        if self._calm is not None:
            self._calm.stop()
        self._calm = self.set_timer(CALM, self._show_errors)
        if self._copying is None:
            self._copying = self.set_timer(CALM, self._keep_a_copy)

    def renew(self) -> None:
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
        if not self.knows_keys:
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
        if not self.knows_keys:
            self.knows_keys = True
            self.explain_key()
        if version != self._version:
            # Not at once again: whoever types has at least half of the machine.
            self.set_timer(took, self.renew)
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
        begun = bool(made.errors) and not self.preview.errors
        self.preview = made
        if not made.errors:
            self.last_sound = made
        self._lay_out()
        if begun:
            self.beside.begin()
        paint(self, (self.beside,))
        self.paint()

    def _lay_out(self) -> None:
        since = "" if self.keeping.since is None else self.keeping.since.revision
        width = max(_LEAST, self.beside.size.width - 1)
        self.beside.show(rows(self.preview, self.last_sound, since, width, self._joint(width)))

    def _joint(self, width: int) -> tuple[Row, ...] | None:
        """The picture of the joint, drawn again only where another one is to be drawn."""
        plan = self.last_sound.plan
        if plan is None:
            return None
        of = (plan.layout, fasteners(plan), width)
        if of != self._drawn_of:
            self._drawn_of, self._drawn = of, joint(plan, width)
        return self._drawn

    def on_beside_resized(self) -> None:
        """The other side has other columns."""
        self._lay_out()

    def _keep_a_copy(self) -> None:
        self._copying = None
        self._copy(self.text)

    @work(thread=True, exit_on_error=False, group="copy")
    def _copy(self, text: str) -> None:
        told = self.keeping.copied(text)
        if told:
            self.from_thread(self.tell, told)
