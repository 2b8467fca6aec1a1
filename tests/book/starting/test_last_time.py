"""Which run is the one before, when the same work is begun again."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path

from clampbook import demo
from clampbook.book.book import Book
from clampbook.book.starting.last_time import last_run
from clampbook.book.starting.new_run import open_run
from clampbook.book.starting.terms import Terms, work_named
from clampbook.book.starting.walking import walking
from clampbook.run import answers as a
from clampbook.run.last_run import NOTHING
from clampbook.run_folder import RunFolder
from museum import museum


class Clock:
    """A clock that is put forward by hand."""

    def __init__(self) -> None:
        self.at = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)

    def now(self) -> datetime:
        """The time that was set."""
        return self.at


def opened(book: Book, clock: Clock, answer: str, procedure: str = demo.HEAD) -> RunFolder:
    """A run of which only the cautions and the first question are answered, by Ines."""
    ines = next(person for person in book.people() if person.name == "Ines")
    run = open_run(book, work_named(book, procedure), Terms(person=ines), clock, "handed in")
    with walking(book, run, clock=clock, person=ines, exempt=True, fresh=True) as walk:
        walk.answer(a.Plus())
        walk.answer(a.Value(answer))
    return run


def test_the_latest_run_of_the_same_procedure_counts(tmp_path: Path) -> None:
    """By the time at which it was opened, whatever its drawn name is; other work has nothing to say."""
    book, clock = museum(tmp_path / "book"), Clock()
    slug = work_named(book, demo.HEAD).slug
    runs = []
    for number in range(4):
        clock.at += timedelta(hours=1)
        runs.append(opened(book, clock, f"C {number}"))
    opened(book, clock, "F 1", next(path.stem for path in book.procedures() if path.stem != demo.HEAD))

    new = last_run(book, RunFolder(tmp_path / "none"), slug)

    assert "C 3" == new.answers["ask:Engine serial number"]
    assert "C 2" == last_run(book, runs[3], slug).answers["ask:Engine serial number"]


def test_without_one_there_is_nothing_to_offer(tmp_path: Path) -> None:
    """The first run of a procedure, or one before that cannot be read."""
    book, clock = museum(tmp_path / "book"), Clock()
    slug = work_named(book, demo.HEAD).slug
    run = opened(book, clock, "C 1")
    alone = last_run(book, run, slug)
    run.daybook.write_bytes(b"\xff no line\n")

    assert (NOTHING, NOTHING) == (alone, last_run(book, RunFolder(tmp_path / "none"), slug))
