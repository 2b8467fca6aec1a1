"""The samples of the library, one of which is the start of a new procedure."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from clampbook.book.drafts import write_draft
from clampbook.ledger.refusals import LedgerFault
from clampbook.procedure.library import as_a_start, samples
from clampbook.screens.listing import Listing
from clampbook.screens.questions import Line, Question
from clampbook.text import as_sentence

if TYPE_CHECKING:
    from clampbook.book.book import Book


class Samples(Listing):
    """All samples, each with what it shows; `done` gets the file of the one that was chosen."""

    then = (
        "The sample is saved among the procedures of this book, as a draft, and opened.",
        "All its values are invented. Replace each with that of the manual.",
    )

    def __init__(self, book: Book, done: Callable[[Path], None]) -> None:
        self.book = book
        self._done = done
        super().__init__(self.read())

    def heading(self) -> str:
        """Tell what this is for."""
        return "New procedure · from a sample"

    def read(self) -> Question:
        """The samples by name."""
        self.samples = samples()
        rows = (f"{each.title}: {each.shows}" if each.shows else each.title for each in self.samples)
        lines = tuple(Line(str(number), text) for number, text in enumerate(rows, 1))
        return Question("sample", "Which sample is nearest? Its values are invented.", "choice", lines)

    def open(self, place: int) -> None:
        """It is saved as a draft of this book."""
        name = self.samples[place].name
        try:
            path = write_draft(self.book, name, as_a_start(name))
        except LedgerFault as fault:
            self.tell(as_sentence(fault.sentence))
            return
        self.dismiss()
        self.app.call_later(self._done, path)
