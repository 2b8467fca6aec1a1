"""Procedures of a book by their release: a draft is released once it was compared with its manual, or one withdrawn."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from clampbook.book.due.entries import Due, of_procedure, within
from clampbook.book.due.procedures import released
from clampbook.book.due.words import when
from clampbook.faults import Faulty, briefly
from clampbook.ledger.refusals import LedgerFault
from clampbook.ledger.stamp import stamp_of
from clampbook.people import Person
from clampbook.procedure.model import Accepted, Procedure
from clampbook.run.gather.asking import numbered, who
from clampbook.run.gather.draft import Part
from clampbook.screens import bench_lists
from clampbook.screens.change_first import ChangeFirst, with_errors
from clampbook.screens.hidden import Hidden
from clampbook.screens.listing import Listing
from clampbook.screens.questions import Line, Question
from clampbook.screens.tools.dialogue import Dialogue, Steps
from clampbook.signing.wire import KeyFault
from clampbook.text import as_sentence
from clampbook.tools.state import SOON

if TYPE_CHECKING:
    from clampbook.book.book import Book
    from clampbook.book.releases import Given, Prepared
    from clampbook.faults import Query
    from clampbook.ledger.stamp import Clock
    from clampbook.screens.actions import Action

_SENTENCE = "Which procedure do you want to release, or withdraw?"
_NOT_RELEASED = "Not released. Change the file first."
_COMPARED = "Which manual and issue did you compare it with, line by line?"


class Releases(Listing):
    """The procedures, each as it stands; the one chosen is released, or withdrawn where it is."""

    then = (
        "Compare a draft with its manual, line by line. Answer each query, then release it, signed with your key.",
        "To withdraw a released revision, give a reason. The book saves a copy of it for good.",
        "F2 lists the texts of all procedures: choose one to write it.",
    )

    def __init__(self, book: Book, clock: Clock) -> None:
        self.book = book
        self.clock = clock
        super().__init__(self.read())

    def heading(self) -> str:
        """The name of the book."""
        return f"{self.book.name} · procedures"

    def open(self, place: int) -> None:
        """It is released, or withdrawn."""
        self.ask_about(self.sheets[place].path)

    def ask_about(self, path: Path) -> None:
        """The same of the procedure in this file."""
        try:
            self._ask_about(path)
        except (LedgerFault, Faulty) as refused:
            self._refuse(path, refused)

    def read(self) -> Question:
        """The procedures, each as it stands today."""
        found = bench_lists.sheets(self.book)
        held = released(self.book, (each.path for each in found))
        self.sheets = tuple(bench_lists.held_to_its_release(each, held) for each in found)
        rows = tuple(
            Line(str(number), f"{_as_it_stands(sheet)}{self._again(held.get(sheet.path))}")
            for number, sheet in enumerate(self.sheets, 1)
        )
        return Question("procedure", _SENTENCE if rows else bench_lists.NO_PROCEDURES, "choice", rows)

    def _again(self, procedure: Procedure | None) -> str:
        """Say that it is to be compared again, where it is over."""
        due = None if procedure is None else of_procedure(Path(), procedure, self.clock.now().date())
        return f", compare it again: {when(due)}" if due is not None and due.past else ""

    def _ask_about(self, path: Path) -> None:
        from clampbook.book.approvals import held_to_the_log
        from clampbook.book.releases import queries
        from clampbook.procedure.reader import read_file

        procedure = held_to_the_log(self.book, read_file(path)[0])
        people, now = self.book.people(), self.clock.now
        due = of_procedure(path, procedure, now().date())
        if due is not None and within((due,), now().date() + SOON):
            found = queries(self.book, path)[0].queries
            steps = again_or_withdrawn(people, procedure, found, due, now)
        elif procedure.status == "released":
            steps = withdrawal(people, procedure, now)
        else:
            steps = release(people, procedure, queries(self.book, path)[0].queries, now)
        self.app.push_screen(Dialogue(procedure.title, steps, self.book.person_named, self._give(path)))

    def _give(self, path: Path) -> Callable[[Given | None], None]:
        def done(given: Given | None) -> None:
            from clampbook.book.releases import releasing, withdrawing

            if given is None:
                self.app.push_screen(ChangeFirst(self.book, path, _NOT_RELEASED, (), self.again))
                return
            ready = withdrawing if given.because else releasing
            try:
                self.app.push_screen(GiveHere(self.book, ready(self.book, path, given), self.again))
            except (LedgerFault, Faulty) as refused:
                self._refuse(path, refused)

        return done

    def actions(self) -> tuple[Action, ...]:
        """List what F2 does here: the text of each procedure is opened."""
        from clampbook.screens.actions import Action

        return tuple(Action(f"Write {sheet.text}", "", partial(self._write, sheet.path)) for sheet in self.sheets)

    def _write(self, path: Path) -> None:
        """The text of a procedure; afterwards the list is read again."""
        from clampbook.screens.draft.screen import Drafting

        try:
            self.app.push_screen(Drafting(path, self.book), lambda _: self.again())
        except (LedgerFault, Faulty) as refused:
            self.tell(briefly(refused) if isinstance(refused, Faulty) else as_sentence(refused.sentence))

    def _refuse(self, path: Path, refused: LedgerFault | Faulty) -> None:
        if isinstance(refused, Faulty):
            self.app.push_screen(with_errors(self.book, path, refused, self.again))
        else:
            self.tell(as_sentence(refused.sentence))


class GiveHere(Hidden):
    """The text of what is given, to be read; a passphrase signs it, or a typed word gives it where there is no key."""

    then = ("The file changes in one step. The book saves a copy of it for good, and its log says who did it.",)

    def __init__(self, book: Book, prepared: Prepared, done: Callable[[str], None]) -> None:
        self._book, self._prepared, self._done = book, prepared, done
        self._warned = False
        self._signs = prepared.signs_with is not None
        name, does = prepared.given.person.name, "release" if prepared.act == "release" else "withdraw"
        if self._signs:
            text = f"{name}, read this. Type your passphrase to sign."
            super().__init__(Question("passphrase", text, "line"), does)
        else:
            text = f"No key: the name is typed. {name}, read this. Type {does} to confirm."
            super().__init__(Question("word", text, "line"), does, secret=False)
        self._does = does
        self.reading = prepared.text

    def heading(self) -> str:
        """Name what is given."""
        return f"{self._prepared.procedure.title} · {self._prepared.act}"

    def back(self) -> None:
        """Nothing came of it; that the answers are lost is told first."""
        if self._warned:
            super().back()
            return
        self._warned = True
        self.tell("Not done yet. Press Esc again to leave. Your answers are then lost.")

    def take(self, line: str) -> None:
        """A passphrase, or the word."""
        from clampbook.book.releases import give

        self._warned = False
        if not line or (not self._signs and line.strip().casefold() != self._does):
            self.field = ""
            wanted = "your passphrase" if self._signs else self._does
            self.tell(f"Not done yet. Type {wanted}, or press Esc to leave.")
            return
        if not self.read_whole():
            return
        given = self._prepared.given
        try:
            stamp = stamp_of(given.at, given.person.id)
            give(self._book, self._prepared, line if self._signs else None, stamp)
        except (KeyFault, LedgerFault) as refused:
            self.refuse(refused.sentence)
            return
        self.dismiss()
        self.app.call_later(self._done, self._prepared.outcome)


def _as_it_stands(sheet: bench_lists.Sheet) -> str:
    """One line; a file that says nothing of its status is a draft."""
    return sheet.text if "," in sheet.revision else f"{sheet.text}, draft"


def release(
    people: tuple[Person, ...], procedure: Procedure, queries: tuple[Query, ...], now: Callable[[], datetime]
) -> Steps[Given | None]:
    """Ask who, compared with what, when to compare it again, and each query that is not answered in the file.

    Gives None where something is to be changed in the file first.
    """
    from clampbook.book.releases import Given

    person = yield who(people)
    assert isinstance(person, Person)
    accepted = []
    for number, query in enumerate(queries, 1):
        text = f"Query {number} of {len(queries)}: {as_sentence(query.text)} Is the file right?"
        choices = numbered({"yes": "yes, and why", "no": "no, change the file first"})
        if (yield Part("query", text, "choice", choices)) == "no":
            return None
        because = yield Part("because", f"Query {number}: {as_sentence(query.text)} Why is the file right?", "line")
        accepted.append(Accepted(query=f"{query.code} {query.key}".strip(), because=str(because)))
    source = f" The file names {procedure.source}." if procedure.source else ""
    compared = yield Part("compared", f"{_COMPARED}{source}", "line")
    again = yield from _look_again(now().date())
    return Given(person=person, at=now(), compared_with=str(compared), look_again_by=again, accepted=tuple(accepted))


def again_or_withdrawn(
    people: tuple[Person, ...],
    procedure: Procedure,
    queries: tuple[Query, ...],
    due: Due,
    now: Callable[[], datetime],
) -> Steps[Given | None]:
    """Ask whether a released revision was compared again, or is to be withdrawn."""
    told = f"Comparison with the manual is {when(due)}. What do you want to do?"
    ways = numbered({"again": "Compare it again, and release it again", "withdraw": "Withdraw it"})
    if (yield Part("way", told, "choice", ways)) == "again":
        return (yield from release(people, procedure, queries, now))
    return (yield from withdrawal(people, procedure, now))


def withdrawal(people: tuple[Person, ...], procedure: Procedure, now: Callable[[], datetime]) -> Steps[Given | None]:
    """Ask who, and why nobody should work by it any more."""
    from clampbook.book.releases import Given

    person = yield who(people)
    assert isinstance(person, Person)
    text = f"Why withdraw revision {procedure.revision}? Esc leaves it released."
    because = yield Part("because", text, "line")
    return Given(person=person, at=now(), because=str(because))


def _look_again(today: date) -> Steps[str | None]:
    from clampbook.procedure.release import day

    years = tuple(_years_on(today, n) for n in (1, 2))
    texts = {
        "one_year": f"In a year, {years[0]}",
        "two_years": f"In two years, {years[1]}",
        "another_day": "Another day",
        "never": "Never",
    }
    chosen = str((yield Part("look", "Compare it again when?", "choice", numbered(texts))))
    if chosen in ("one_year", "two_years"):
        return years[0 if chosen == "one_year" else 1].isoformat()
    said = ""
    while chosen == "another_day":
        typed = str((yield Part("day", f"{said}By which day? Type a date such as {years[0]}.", "line")))
        found = day(typed.strip())
        if found is not None and found >= today:
            return found.isoformat()
        said = f"“{typed}” is not a day to come. "
    return None


def _years_on(today: date, years: int) -> date:
    """The same day of a later year; the last of February for the day that only leap years have."""
    try:
        return today.replace(year=today.year + years)
    except ValueError:
        return today.replace(year=today.year + years, day=28)
