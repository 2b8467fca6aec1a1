"""One record: what it says of itself, and what can be done with it: read, print again, write its readings out."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from textual import work
from textual.content import Content

from clampbook.archive.finding import Hit, Query
from clampbook.archive.finding_words import page
from clampbook.archive.index import Archive
from clampbook.ledger.refusals import LedgerFault, refusal
from clampbook.run_folder import RunFolder
from clampbook.screens.choosing import choices_shown, wrapped
from clampbook.screens.help_page import HelpPage
from clampbook.screens.hinting import HELP, choose
from clampbook.screens.key_meaning import BACK
from clampbook.screens.page import Page
from clampbook.screens.questions import Line, Question, Questions
from clampbook.screens.widgets.bottom_line import KeyHint
from clampbook.text import printable

if TYPE_CHECKING:
    from clampbook.book.book import Book

PRINTED = "printed"  # the folder in the book for what is printed or written out again; never a run's own
READ, PRINT, READINGS = "1", "2", "3"
_CHOICES = (
    Line(READ, "Read it"),
    Line(PRINT, "Print the report again"),
    Line(READINGS, "Save readings as CSV"),
)
_MOST_OF_A_DAYBOOK = 500_000_000  # bytes


class Record(Questions):
    """The choice of what is done with a record, and below it what stands in it at a glance."""

    def __init__(self, book: Book, archive: Archive, hit: Hit) -> None:
        super().__init__(Question("done with it", "What do you want to do with this record?", "choice", _CHOICES))
        self.book = book
        self.folder = RunFolder(book.path("runs", hit.run))
        self._archive = archive
        self._title = hit.title or hit.run
        self.glanced_at = tuple(glance(book, hit))

    def heading(self) -> str:
        """The top line."""
        return f"Record · {self._title}"

    def listed(self) -> Content:
        """The choices, then the glance."""
        told = [line for each in self.glanced_at for line in wrapped(printable(each), self.columns)]
        return Content("\n").join(
            (choices_shown(self.part.choices, self.field, self.columns), Content(), *map(Content, told))
        )

    def keys(self) -> tuple[KeyHint, ...]:
        """The keys in use, in an order that takes two rows where there are 40 columns."""
        return (
            *choose(tuple(choice.key for choice in _CHOICES)),
            HELP,
            KeyHint("PgUp PgDn", "scroll"),
            KeyHint(f"Esc or {BACK}", "back"),
        )

    def explain(self) -> None:
        """F1."""
        self.app.push_screen(HelpPage("Help: a record", HELP_LINES))

    def take(self, line: str) -> None:
        """Do what has this number."""
        place = self.picked(line)
        if place is None:
            return
        match self.part.choices[place].key:
            case "1":
                self._read()
            case "2":
                self.tell("Printing the report …")
                self.work_on(self._print)
            case _:
                self.work_on(self._readings)

    def _read(self) -> None:
        try:
            lines = written(self.folder)
        except LedgerFault as fault:
            self.tell(fault.sentence)
            return
        self.notice = ""
        self.paint()
        self.app.push_screen(Page(self.folder.id, lines))

    @work(thread=True, exclusive=True)
    def work_on(self, deed: Callable[[], str]) -> None:
        """Do what takes a moment, and tell the sentence that comes of it."""
        from clampbook.work.frozen import RecordFault

        try:
            told = deed()
        except (LedgerFault, RecordFault) as fault:
            told = fault.sentence
        self.from_thread(self.tell, told)

    def _print(self) -> str:
        from clampbook.book.notices import notices
        from clampbook.ledger import atomic
        from clampbook.record.report import of_folder

        path = self._beside("pdf")
        atomic.write(path, of_folder(self.folder.path, self.book.paper(), since=notices(self.book, self.folder.id)))
        return f"Report: {path}"

    def _readings(self) -> str:
        from clampbook.archive.readings import as_csv, readings
        from clampbook.ledger import atomic

        path, named = self._beside("csv"), [self.folder.id]
        text = self._archive.asked(lambda connection: "".join(as_csv(readings(connection, Query(), named))))
        atomic.write(path, text.encode())
        return f"Readings saved to {path}"

    def _beside(self, ending: str) -> Path:
        """Give a place for something of this run: beside the runs, so that a sealed folder stays as it is."""
        path = self.book.path(PRINTED, f"{self.folder.id}.{ending}")
        try:
            path.parent.mkdir(mode=0o700, exist_ok=True)
        except OSError as error:
            raise refusal(path.parent, error, "be made") from error
        return path

    def back(self) -> None:
        """Back to the list."""
        if self.is_current:
            self.dismiss()


HELP_LINES = (
    "Below the choices: the record at a glance, later notices about its tools, and whether it is intact.",
    f"Reports and CSV go into the book's folder {PRINTED}. The run's own folder is never changed.",
    "clampbook report, export and verify do the same from the command line.",
    "",
    "# Keys",
    "Type a number, then Enter. PgUp and PgDn scroll. Esc or * goes back to the list.",
)


def glance(book: Book, hit: Hit) -> tuple[str, ...]:
    """Tell what should be known of a record before anything is done with it."""
    from clampbook.book.notices import notices

    return (*page(hit), hit.run, *notices(book, hit.run), *soundness(book, hit))


def soundness(book: Book, hit: Hit) -> tuple[str, ...]:
    """Tell in words whether the record is what it was: everything about the run is recomputed now."""
    from clampbook.book.soundness.found import in_sentences
    from clampbook.book.soundness.verifying import Verifying
    from clampbook.faults import Faulty
    from clampbook.signing.wire import KeyFault

    try:
        first, *rest = in_sentences(Verifying(book).run(book.run(hit.run)))
    except (LedgerFault, KeyFault) as refused:
        return (f"Not verified: {refused.sentence}",)
    except Faulty as faulty:
        return (f"Not verified: {faulty.faults[0].text}",)
    return (f"Verified: {first.removeprefix(f'{hit.run}: ')}.", *rest)


def written(run: RunFolder) -> tuple[str, ...]:
    """The record line by line, made again from the frozen files, after what is to be said of the stored one; nothing in
    it can steer a terminal. Raises LedgerFault."""
    from clampbook.record.rebuilt import rebuilt

    shown = rebuilt(run)
    before = tuple(told for told in (shown.differs, shown.unchecked) if told)
    return tuple(map(printable, (*before, *shown.text.splitlines())))
