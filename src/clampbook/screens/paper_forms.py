"""Work on paper: a form is printed for where no laptop can go, and typed in once it is filled."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from textual import work
from textual.content import Content

from clampbook.faults import Faulty, briefly
from clampbook.ledger.refusals import LedgerFault
from clampbook.screens import bench_lists
from clampbook.screens.choosing import choices_shown
from clampbook.screens.listing import Listing
from clampbook.screens.questions import Line, Question
from clampbook.text import as_sentence

if TYPE_CHECKING:
    from clampbook.book.book import Book
    from clampbook.ledger.stamp import Clock
    from clampbook.screens.bench_lists import Sheet

_TYPE_IN, _PRINT = "Type in a filled form", "Print a form to fill in"
_LOW = 20  # rows; below that none is spared for an empty line


class PaperForms(Listing):
    """Each procedure twice: its filled form is typed in, or a blank one printed. `typed_in` begins the first."""

    then = (
        "Typing in asks who types, which form it is, when it begins, and for a scan. Then it goes row by row.",
        "Printing puts a PDF into the folder forms of this book.",
    )

    def __init__(self, book: Book, clock: Clock, typed_in: Callable[[Path], None]) -> None:
        self.book = book
        self.clock = clock
        self._typed_in = typed_in
        super().__init__(self.read())

    def heading(self) -> str:
        """The name of the book."""
        return f"{self.book.name} · paper forms"

    def read(self) -> Question:
        """The procedures of the book, for one deed and for the other."""
        self.rows = tuple((deed, sheet) for deed in (_TYPE_IN, _PRINT) for sheet in bench_lists.sheets(self.book))
        lines = (Line(str(number), sheet.text) for number, (_, sheet) in enumerate(self.rows, 1))
        sentence = "Which form?" if self.rows else bench_lists.NO_PROCEDURES
        return Question("form", sentence, "choice", tuple(lines))

    def listed(self) -> Content:
        """The lines under what is done with them."""
        apart = [] if self.size.height < _LOW else [Content()]
        shown: list[Content] = []
        section, longest = "", max((len(choice.key) for choice in self.part.choices), default=0)
        for choice, (deed, _) in zip(self.part.choices, self.rows, strict=True):
            if deed != section:
                shown += [*(apart if section else []), Content.styled(deed, "bold")]
                section = deed
            shown.append(choices_shown((choice,), self.field, self.columns, longest))
        return Content("\n").join(shown)

    def open(self, place: int) -> None:
        """Begin to type in, or print."""
        deed, sheet = self.rows[place]
        try:
            if deed == _TYPE_IN:
                self._typed_in(sheet.path)
            else:
                self.tell("Printing …")
                self.work_on(sheet)
        except LedgerFault as fault:
            self.tell(as_sentence(fault.sentence))
        except Faulty as faulty:
            self.tell(briefly(faulty))

    @work(thread=True, exclusive=True)
    def work_on(self, sheet: Sheet) -> None:
        """Print, which takes a moment, and tell what came of it."""
        from clampbook.work.frozen import RecordFault

        try:
            told = f"Paper form: {self._printed(sheet)}"
        except (LedgerFault, RecordFault) as fault:
            told = as_sentence(fault.sentence)
        except Faulty as faulty:
            told = briefly(faulty)
        self.from_thread(self.tell, told)

    def _printed(self, sheet: Sheet) -> str:
        """Print it; gives its place in the book."""
        from clampbook.book.starting.terms import work_named
        from clampbook.ledger import atomic
        from clampbook.record.paper_form import pdf
        from clampbook.run.planning import plan

        named = work_named(self.book, sheet.path.stem)
        pages = pdf(plan(named.procedure, named.slug), named.data, made=self.clock.now(), paper=self.book.paper())
        path = self.book.path("forms", f"{named.slug}-form.pdf")
        path.parent.mkdir(exist_ok=True)
        atomic.write(path, pages, mode=0o644)
        return str(path).replace(f"{self.book.root}{os.sep}", "")
