"""A procedure whose file is to be changed before anything else: why, all of it, and the way into its text by number."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from textual.content import Content

from clampbook.faults import Faulty, briefly, show
from clampbook.ledger.refusals import LedgerFault
from clampbook.screens.choosing import choices_shown, wrapped
from clampbook.screens.questions import Line, Question, Questions
from clampbook.screens.widgets.bottom_line import KeyHint
from clampbook.text import as_sentence, counted, printable

if TYPE_CHECKING:
    from clampbook.book.book import Book

_WAYS = ("Open its text", "Go back")
_MARK = "! "


class ChangeFirst(Questions):
    """`after` is called once somebody has been in the text."""

    then = ("The text opens with its errors and queries beside it. F7 goes from one to the next.",)

    def __init__(self, book: Book, path: Path, why: str, told: Sequence[str], after: Callable[[], None]) -> None:
        self._book, self._path, self._told, self._after = book, path, told, after
        lines = tuple(Line(str(number), way) for number, way in enumerate(_WAYS, 1))
        super().__init__(Question("change first", f"{why} What do you want to do?", "choice", lines))

    def heading(self) -> str:
        """Name the file."""
        return self._path.name

    def listed(self) -> Content:
        """The choices, and below them all that is wrong."""
        rows = [
            f"{' ' * len(_MARK) if place else _MARK}{part}"
            for told in self._told
            for place, part in enumerate(wrapped(printable(told), self.columns - len(_MARK)))
        ]
        below = (Content(), *map(Content, rows)) if rows else ()
        return Content("\n").join((choices_shown(self.part.choices, self.field, self.columns), *below))

    def keys(self) -> tuple[KeyHint, ...]:
        """The keys in use."""
        first, *others = super().keys()
        return (first, KeyHint("PgDn", "read on"), *others) if self.longer else (first, *others)

    def take(self, line: str) -> None:
        """Into the text, or back."""
        match self.picked(line):
            case 0:
                self._open()
            case 1:
                self.back()

    def _open(self) -> None:
        from clampbook.screens.draft.screen import Drafting

        try:
            draft = Drafting(self._path, self._book)
        except (LedgerFault, Faulty) as refused:
            self.tell(briefly(refused) if isinstance(refused, Faulty) else as_sentence(refused.sentence))
            return
        app, after = self.app, self._after
        self.dismiss()
        app.call_later(app.push_screen, draft, lambda _: after())

    def back(self) -> None:
        """Nothing has changed."""
        if self.is_current:
            self.dismiss()


def with_errors(book: Book, path: Path, faulty: Faulty, after: Callable[[], None]) -> ChangeFirst:
    """The screen for a file with errors: every one of them, with its line."""
    told = [show(replace(each, path="")) for each in faulty.faults]
    return ChangeFirst(book, path, f"{path.name} has {counted(len(told), 'error')}.", told, after)
