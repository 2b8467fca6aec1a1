"""The book: the folder that holds a workshop's tools, people, procedures and runs."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from msgspec import Struct

from clampbook import people as persons
from clampbook import run_folder
from clampbook.ledger import atomic, lock
from clampbook.ledger.inside import inside
from clampbook.ledger.ledger import Ledger
from clampbook.ledger.ledger import read as read_ledger
from clampbook.ledger.lock import Lock
from clampbook.ledger.refusals import LedgerFault, refusal, shown
from clampbook.people import Person
from clampbook.run_folder import RunFolder

if TYPE_CHECKING:
    from clampbook.book.cover import Cover
    from clampbook.record.report import Paper
    from clampbook.tools.model import Tool

BOOK = "book.toml"
LOG = "book.jsonl"
PEOPLE = "people.toml"
TOOLS = "tools.toml"
PROCEDURES = "procedures"
RUNS = "runs"
CHECKS = "checks"
LOGS = "logs"  # of books that were merged into this one
LOCKS = ".locks"
_PATIENCE = 10.0  # seconds that a short write to the book waits for another one


class NoBook(LedgerFault):
    """A folder that holds no book; `folder` is which."""

    def __init__(self, folder: Path, sentence: str) -> None:
        super().__init__(sentence)
        self.folder = folder


class Book(Struct, frozen=True):
    """An open book. `alone`: the person says that nobody else writes to it, where its disk cannot lock."""

    root: Path
    id: str
    name: str
    alone: bool = False

    @classmethod
    def create(cls, folder: Path, name: str) -> Book:
        """Make a new book in a folder that is not there yet, or is empty. Raises LedgerFault, TextFault."""
        from clampbook.book.new_book import NewBook, make

        return make(folder, NewBook(name=name))

    @classmethod
    def open(cls, folder: Path, *, alone: bool = False) -> Book:
        """Open the book in a folder, for reading as for writing. Raises LedgerFault, or Faulty for its files."""
        from clampbook.book import peek

        path = inside(folder, BOOK)
        if not _there(path):
            from clampbook.book.nearest import no_book_in

            raise NoBook(folder, no_book_in(folder, default_folder()))
        plain = peek.cover(peek.small(path))
        if plain is None:
            from clampbook.book.cover import read_cover

            row = read_cover(_load(path), str(path))
            plain = row.id, row.name
        return cls(folder.resolve(), *plain, alone)

    def path(self, *parts: str) -> Path:
        """Give the path of something of this book; a link that leads out of it is refused with a LedgerFault."""
        return inside(self.root, *parts)

    def paper(self) -> Paper:
        """The size on which this book's reports are printed, as its cover says. Raises LedgerFault, Faulty."""
        return self._cover().paper

    def unit(self) -> str | None:
        """The torque unit that the workshop works in, as its cover says; None where it does not. Raises LedgerFault,
        Faulty."""
        return self._cover().unit

    def tools(self) -> tuple[Tool, ...]:
        """The tools in the order of the file. Raises Faulty with all faults of tools.toml."""
        from clampbook.tools.reader import read_tools

        path = self.path(TOOLS)
        return read_tools(_load(path), str(path)) if _there(path) else ()

    def people(self) -> tuple[Person, ...]:
        """The people in the order of the file. Raises Faulty with all faults of people.toml."""
        return self._people()[1]

    def name_of(self, person: str) -> str | None:
        """Give the name that the person of this id has here; None where the book does not know them."""
        return next((each.name for each in self.people() if each.id == person), None)

    def person_named(self, typed: str) -> Person:
        """Find the person that a typed name means; somebody new gets an entry. Raises TextFault where
        several have that name.
        """
        known = persons.find(self.people(), typed)
        return known or self._added(typed, same_name=False)

    def add_person(self, typed: str) -> Person:
        """A new entry even where somebody of that name is there already: another person is another id."""
        return self._added(typed, same_name=True)

    def procedures(self) -> tuple[Path, ...]:
        """The files of all procedures by name, without earlier revisions."""
        folder = self.path(PROCEDURES)
        try:
            names = sorted(path.name for path in folder.iterdir())
        except FileNotFoundError:
            return ()
        except OSError as error:
            raise refusal(folder, error, "be read") from error
        return tuple(folder / name for name in names if name.endswith(".toml") and not name.startswith("."))

    def runs(self) -> tuple[RunFolder, ...]:
        """All runs by day and name."""
        return tuple(run_folder.folders(self.path(RUNS)))

    def open_runs(self) -> tuple[RunFolder, ...]:
        """The runs whose last line is neither closed nor abandoned."""
        return tuple(run for run in self._unsettled() if run.state == "open")

    def unfinished_runs(self) -> tuple[RunFolder, ...]:
        """The open runs, and those whose last line cannot be read, so that nobody overlooks them."""
        return tuple(run for run in self._unsettled() if run.state in ("open", "damaged"))

    def _unsettled(self) -> tuple[RunFolder, ...]:
        from clampbook.book.settled import unsettled_runs

        return unsettled_runs(self)

    def run(self, name: str) -> RunFolder:
        """The run of this name, or the only one whose name holds it. Raises LedgerFault."""
        folder = self.path(RUNS)
        there = run_folder.names(folder)
        found = [name] if name in there else [run for run in there if name and name in run]
        if len(found) == 1:
            return RunFolder(folder / found[0])
        if not found:
            told = f"there is no run {shown(Path(name))} in this book"
            raise LedgerFault(f"{told}. List open runs with: clampbook runs. Search closed ones with: clampbook find")
        ids = ", ".join(found[:5])
        raise LedgerFault(f"several runs are called so: give more of the name ({ids})")

    @contextlib.contextmanager
    def writing(self, run: RunFolder, who: str = "") -> Iterator[Ledger]:
        """The daybook of a run, to add to for as long as the `with` lasts; nobody else can meanwhile.

        Raises LockHeld where somebody else does, LedgerFault where it cannot be written.
        """
        with lock.take(self.path(LOCKS), run.id, who=who, alone=self.alone):
            yield Ledger.open(run.daybook)

    def written_by(self, run: RunFolder, who: str) -> None:
        """Another person has the run open from now on, in the program that is `writing` it."""
        lock.hand_on(self.path(LOCKS), run.id, who)

    def writer(self, run: RunFolder) -> lock.Held | None:
        """Tell who has a run, or a check, open at the moment, and since when; None where nobody has."""
        return lock.held(self.path(LOCKS), run.id)

    @contextlib.contextmanager
    def log(self) -> Iterator[Ledger]:
        """The book's own log, to add to for a moment; waits for others who do. Only its end is read."""
        from clampbook.book.log_told import end_known

        with self.holding():
            yield Ledger.open(self.path(LOG), after=end_known(self))

    def merged_logs(self) -> tuple[Path, ...]:
        """The logs of books merged into this one, each named by the id of its book. Raises LedgerFault for a link."""
        folder = self.path(LOGS)
        names = sorted(path.name for path in folder.glob("*.jsonl")) if folder.is_dir() else ()
        return tuple(self.path(LOGS, name) for name in names)

    def log_lines(self) -> list[bytes]:
        """The whole lines of the book's log, read without a lock. Raises LedgerFault."""
        return read_ledger(self.path(LOG))[0]

    def holding(self) -> Lock:
        """The lock under which files of the book are changed, for a moment; waits for others who hold it."""
        return lock.take(self.path(LOCKS), "book", wait=_PATIENCE, alone=self.alone)

    def _cover(self) -> Cover:
        from clampbook.book.cover import read_cover

        path = self.path(BOOK)
        return read_cover(_load(path), str(path))

    def _people(self) -> tuple[bytes, tuple[Person, ...]]:
        from clampbook.book import peek

        path = self.path(PEOPLE)
        data = peek.small(path)
        plain = peek.people(data) if data else None
        if plain is None:
            from clampbook.people_file import read_people

            data = _load(path) if _there(path) else b""
            plain = read_people(data, str(path))
        return data, plain

    def _added(self, typed: str, *, same_name: bool) -> Person:
        from clampbook.people_file import added

        with self.holding():
            data, people = self._people()
            known = None if same_name else persons.find(people, typed)
            if known is not None:  # somebody else made the entry while this one waited
                return known
            person = persons.newcomer(people, typed)
            atomic.write(self.path(PEOPLE), added(data, person))
        return person


def default_folder() -> Path:
    """Give the place of the book when nobody says otherwise: the user's folder for data."""
    from platformdirs import user_data_path

    return user_data_path("clampbook", appauthor=False)


def _there(path: Path) -> bool:
    """Tell whether there is anything at this path; what may not even be looked at is a LedgerFault."""
    try:
        return path.exists()
    except OSError as error:
        raise refusal(path, error, "be read") from error


def _load(path: Path) -> bytes:
    """The bytes of a hand-written file of the book; Faulty where it is too large or cannot be read."""
    from clampbook.procedure.intake import load

    return load(path)
