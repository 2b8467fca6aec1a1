"""The records: runs that are over, found by the beginnings of words as they are typed, the latest first."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual import work
from textual.worker import Worker, get_current_worker

from clampbook.archive.finding import Hit, Hits, Query, find
from clampbook.archive.index import Archive
from clampbook.book.notices import in_question
from clampbook.book.settled import settled
from clampbook.ledger.refusals import LedgerFault
from clampbook.screens.help_page import HelpPage
from clampbook.screens.hinting import BEFORE_WORDS, HELP
from clampbook.screens.key_meaning import BACK, Wanted
from clampbook.screens.questions import Line, Question, Questions
from clampbook.screens.widgets.bottom_line import KeyHint
from clampbook.text import counted

if TYPE_CHECKING:
    from clampbook.book.book import Book

MOST = 50  # records in the list
_SENTENCE = "Type words to search, or a number."
_OFTEN = 20  # records after which it is said how many were read


class _Left(Exception):  # noqa: N818 - nobody waits for the rest any more
    """The screen was left while records were still read; what was read is kept."""


class Records(Questions):
    """The list, and what was typed to make it shorter; the one chosen is opened."""

    def __init__(self, book: Book) -> None:
        super().__init__(Question("record", _SENTENCE, "line"))
        self.book = book
        self.hits = Hits()
        self.words: str | None = None  # by which the list was made; None: not yet
        self._typed = ""  # the same as it was typed
        self._archive: Archive | None = None

    def on_mount(self) -> None:
        """The list, once the records that are new are read."""
        super().on_mount()
        self.tell("Reading the records …")
        self.look_through()

    def on_unmount(self) -> None:
        """The index is not needed any more."""
        if self._archive is not None:
            self._archive.close()

    @work(thread=True, exclusive=True)
    def look_through(self) -> None:
        """Bring the index up to date, and say how far that is; leaving the screen stops it."""
        worker = get_current_worker()
        archive = Archive(self.book.root)
        try:
            archive.refresh(lambda done, of: self._come_so_far(worker, done, of), settled(self.book).sealed)
        except _Left:
            archive.close()
            return
        except LedgerFault as fault:
            archive.close()
            self.from_thread(self.tell, fault.sentence)
            return
        if worker.is_cancelled:
            archive.close()
        else:
            self.from_thread(self._ready, archive)

    def _come_so_far(self, worker: Worker[None], done: int, of: int) -> None:
        if worker.is_cancelled:
            raise _Left
        if done % _OFTEN == 0:
            self.from_thread(self.tell, f"{done} of {of} records read. Esc leaves.")

    def _ready(self, archive: Archive) -> None:
        self._archive = archive
        self.notice = " ".join(archive.told)
        self._search()
        if self.is_attached:
            self.paint()

    def heading(self) -> str:
        """The top line."""
        count = len(self.hits.runs)
        told = f"the latest {count} of them" if self.hits.more else counted(count, "record")
        return f"Records · {told}" if self.words is not None else "Records"

    def want(self) -> Wanted:
        """Words and numbers are typed."""
        return Wanted(field=True, text=True, at_once=frozenset(BACK), part=True)

    def keys(self) -> tuple[KeyHint, ...]:
        """The keys in use."""
        number = KeyHint(". and a number", "search it")
        return (KeyHint("Enter", "open"), KeyHint("↑ ↓", "choose"), number, KeyHint(f"Esc or {BACK}", "back"), HELP)

    def show_field(self) -> None:
        """The list follows what is typed."""
        before = self.words
        self._search()
        if self.words != before:
            self.notice = ""
            self.paint()
        else:
            super().show_field()

    def paint(self) -> None:
        """Everything as it is now, without looking for anything again."""
        self.query_one("#listed").scroll_to(y=0, animate=False)
        super().paint()

    def _search(self) -> None:
        words = self._typed_words()
        if self._archive is None or words is None or words == self.words:
            return
        query = Query(words=tuple(words.split()))
        self.hits = self._archive.asked(lambda connection: find(connection, query, MOST))
        self.words, self._typed = words, self.field
        asked = in_question(self.book)
        rows = tuple(
            Line(str(number), row(hit, in_question=hit.run in asked)) for number, hit in enumerate(self.hits.runs, 1)
        )
        self.part = Question("record", _SENTENCE, "line", rows)

    def _typed_words(self) -> str | None:
        """The words that were typed; None where it is a number of the list, which changes nothing in it."""
        typed = self.field.strip()
        if typed[:1] in BEFORE_WORDS and typed:
            return typed[1:]
        return None if self._hit(typed) is not None else typed

    def _hit(self, typed: str) -> Hit | None:
        numbers = [choice.key for choice in self.part.choices]
        return self.hits.runs[numbers.index(typed)] if typed in numbers else None

    def take(self, line: str) -> None:
        """Open the record of this number, or the only one that was found."""
        typed = line.strip()
        hit = self._hit(typed) or (self.hits.runs[0] if typed and len(self.hits.runs) == 1 else None)
        if hit is not None and self._archive is not None:
            from clampbook.screens.record import Record

            self.field = self._typed
            self.app.push_screen(Record(self.book, self._archive, hit))
            return
        self.field = line
        if self._archive is not None and typed:
            self.tell(
                "Type more words, or a number on the list." if self.hits.runs else "No record found. Try fewer words."
            )

    def back(self) -> None:
        """The whole list again; from there to the bench."""
        if self.words:
            self.show_field()
        elif self.is_current:
            self.dismiss()

    def explain(self) -> None:
        """F1."""
        self.app.push_screen(HelpPage("Help: the records", HELP_LINES))


def row(hit: Hit, *, in_question: bool = False) -> str:
    """A record in one line of the list; `in_question`: a tool of it is in question since."""
    if hit.fault:
        return f"{hit.run} · cannot be read: {hit.fault}"
    deviations = f", {counted(hit.deviations, 'deviation')}" if hit.deviations else ""
    if hit.known_deviations is None:
        deviations = ", deviations not known"
    state = "" if hit.state == hit.outcome else hit.state
    told = (
        hit.day,
        hit.title or hit.run,
        hit.joint,
        hit.equipment,
        f"{hit.outcome}{deviations}",
        state,
        "? a tool in question" if in_question else "",
    )
    return " · ".join(each for each in told if each)


HELP_LINES = (
    "Closed runs, the latest first.",
    "Type the first letters of any words, in any order.",
    "Searched are title, equipment, people, tools and serial numbers, parts and lots, answers, notes, deviations, "
    "follow-ups, and the run's name.",
    "clampbook find does the same with filters, such as --lot or --since.",
    "",
    "# Keys",
    "A number on the list and Enter open that record. If only one is left, Enter opens it.",
    "To search for a number, type . before it: .4107",
    "Esc or * on an empty field: the whole list again, then the bench.",
)
