"""A new book: the folder that becomes one, and what its first files hold."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from msgspec import Struct

from clampbook import people as persons
from clampbook.book.book import BOOK, LOCKS, LOG, PEOPLE, PROCEDURES, RUNS, TOOLS, Book
from clampbook.ledger import atomic
from clampbook.ledger.ledger import Ledger
from clampbook.ledger.refusals import LedgerFault, refusal, shown
from clampbook.people import Person
from clampbook.slug import drawn
from clampbook.text import TextFault, clean

if TYPE_CHECKING:
    from clampbook.record.report import Paper
    from clampbook.tools.editing import Value

MOST_OF_A_NAME = 80  # characters
_OURS = frozenset({BOOK, LOG, PEOPLE, TOOLS, PROCEDURES, RUNS, LOCKS})
_PEOPLE_HEAD = "# Who works with this book. An id is never used again for another person.\n"
_TOOLS_HEAD = """\
# The tools of this book, each as it is printed on the tool itself, for example:
#
# [[tool]]
# id = "w2"                          # never used again for another tool
# name = "W2"
# kind = "setting"                   # setting, indicating, angle gauge, marks, reference, or what measures
# unit = "N·m"
# range = ["20 N·m", "100 N·m"]
# resolution = "0.5 N·m"
# iso_6789 = "II A"                  # type and class, as its certificate says; gives what it may deviate
# lever = "400 mm"                   # from the drive to the middle of the grip, where adapters are used
# wound_down = true
# calibrated_on = 2026-03-02
# interval_months = 12
# interval_pulls = 5000
#
# [[adapter]]
# id = "a1"
# name = "A1"
# extension = "60 mm"                # along the lever; "-60 mm" shortens it
# offset = "0°"
"""


class NewBook(Struct, frozen=True, kw_only=True):
    """The things that a new book begins with. All but its name may come later; `tools` are entries of tools.toml."""

    name: str
    people: tuple[str, ...] = ()
    paper: Paper | None = None
    unit: str | None = None
    tools: tuple[Mapping[str, Value], ...] = ()


def make(folder: Path, new: NewBook) -> Book:
    """Make a new book in a folder that is not there yet, or is empty. Its cover is written last, so that one that was
    cut off is no book, and can be made again. Raises LedgerFault, TextFault, or Faulty for its tools."""
    from clampbook.book.cover import cover

    title = clean(new.name, what="the name of the book", most=MOST_OF_A_NAME)
    people, tools = _people_file(new.people), tools_file(new.tools)
    can_become_a_book(folder)
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        for name_of in (PROCEDURES, RUNS, LOCKS):
            (folder / name_of).mkdir(mode=0o700, exist_ok=True)
    except OSError as error:
        raise refusal(folder, error, "become a book") from error
    atomic.write(folder / PEOPLE, people)
    atomic.write(folder / TOOLS, tools)
    if not (folder / LOG).exists():
        Ledger.open(folder / LOG, create=True)
    atomic.write(folder / BOOK, cover(drawn(), title, new.paper, new.unit))
    return Book.open(folder)


def can_become_a_book(folder: Path) -> None:
    """Look whether a book can be made in a folder. Raises LedgerFault where something else is in it."""
    try:
        present = {path.name for path in folder.iterdir()}
    except FileNotFoundError:
        return
    except NotADirectoryError as error:
        wrong = next(each for each in (folder, *folder.parents) if each.exists())
        raise LedgerFault(f"{shown(wrong)} is a file: give a folder") from error
    except OSError as error:
        raise refusal(folder, error, "become a book") from error
    if BOOK in present:
        raise LedgerFault(f"{shown(folder)} is not empty: it is a book. Open it, or give an empty folder")
    if not present <= _OURS:
        raise LedgerFault(f"{shown(folder)} is not empty: give an empty folder")


def newcomers(names: tuple[str, ...]) -> tuple[Person, ...]:
    """The people of a new book. Raises TextFault for what is no name, or was named before."""
    return tuple(_in_turn(names))


def _in_turn(names: tuple[str, ...]) -> Iterator[Person]:
    known: list[Person] = []
    for typed in names:
        if persons.find(known, typed) is not None:
            raise TextFault(f"{persons.known_name(typed)} was named before. Name each person once")
        known.append(persons.newcomer(known, typed))
        yield known[-1]


def _people_file(names: tuple[str, ...]) -> bytes:
    data = _PEOPLE_HEAD.encode()
    for person in newcomers(names):
        from clampbook.people_file import added

        data = added(data, person)
    return data


def tools_file(entries: tuple[Mapping[str, Value], ...]) -> bytes:
    """The bytes of a new book's tools.toml. Raises Faulty with all faults of the entries."""
    data = _TOOLS_HEAD.encode()
    if entries:
        from clampbook.tools.editing import added
        from clampbook.tools.reader import read_stock

        for entry in entries:
            data = added(data, "tool", entry)
        read_stock(data, TOOLS)
    return data
