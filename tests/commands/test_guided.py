"""A new procedure by questions, line by line: a file where all was answered, and none where somebody stopped."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from clampbook.book.book import Book
from clampbook.procedure.reader import read_file
from line_by_line import printed

CLOCK = "2026-03-02T09:00:00Z"
FLANGE = ["Coupling flange", "", "12", "1", "M12", "8.8", "dry", "0.16, 0.22", "70 Nm", "1", "+-5%"]
REST = ["", "1", "", "", "", "", "", "Manual 3, page 12", ""]


@pytest.fixture
def book(tmp_path: Path) -> Book:
    """A book with nothing in it."""
    return Book.create(tmp_path / "book", "Harbour museum")


def asked(book: Book, *lines: str, face: str = "--plain") -> str:
    """What is printed after these lines."""
    return printed(CLOCK, book.root, "draft", face, lines=list(lines))


def test_answers_line_by_line_make_a_file_of_the_book(book: Book) -> None:
    """Twelve bolts in three rounds, crosswise, and the order is told."""
    told = asked(book, *FLANGE, *REST, "1")

    assert "Order: 1, 7, 4, 10, 2, 8, 5, 11, 3, 9, 6, 12" in told
    assert "Save to procedures/coupling-flange.toml?" in told
    procedure, _ = read_file(book.root / "procedures" / "coupling-flange.toml")
    assert ("Coupling flange", 3) == (procedure.title, len(procedure.stages))


def test_enter_saves_again_what_was_answered_before_going_back(book: Book) -> None:
    """Back with *, twice; the first answer is saved again, and the second replaced."""
    told = asked(book, *FLANGE[:6], "*", "*", "", "10.9", *FLANGE[6:], *REST, "")

    assert "Now: M12. Enter saves it again, - leaves it out." in " ".join(told.split())
    group = read_file(book.root / "procedures" / "coupling-flange.toml")[0].groups[0]
    assert ("M12", "10.9") == (group.thread, group.property_class)


def test_what_the_reader_refuses_is_asked_again(book: Book) -> None:
    """A torque without a unit."""
    told = asked(book, *FLANGE[:8], "70", *FLANGE[8:], *REST, "")

    assert "“70” needs its unit, such as 70 N·m." in told
    assert (book.root / "procedures" / "coupling-flange.toml").exists()


def test_a_thread_and_a_class_that_no_table_has_are_told_and_taken(book: Book) -> None:
    """Both, each at its question."""
    told = " ".join(asked(book, *FLANGE[:4], "abc", "xyz", *FLANGE[6:], *REST, "").split())

    assert "“abc” is not a thread known here." in told
    assert "“xyz” is not a class of ISO 898-1" in told
    group = read_file(book.root / "procedures" / "coupling-flange.toml")[0].groups[0]
    assert ("abc", "xyz") == (group.thread, group.property_class)


@pytest.mark.parametrize("lines", [FLANGE, [*FLANGE, *REST, "2"], ["*"], [*FLANGE, *REST, "*"], ["1", "*"]])
def test_nothing_is_saved_of_what_somebody_left(book: Book, lines: list[str]) -> None:
    """The lines end, all is discarded, or the way leads back out."""
    asked(book, *lines)

    assert () == book.procedures()


def test_what_a_walk_needs_is_told_before_it_is_saved(book: Book) -> None:
    """How far off a torque may be was left out."""
    told = asked(book, *FLANGE[:-1], "", *REST, "")

    assert "Left out, and needed before a walk: allowed." in told


def test_a_sample_of_the_library_is_a_start(book: Book) -> None:
    """Chosen by its number in place of a title; a number that is none is asked again."""
    listed = asked(book, "1")
    number = next(line.split()[0] for line in listed.splitlines() if "Flywheel" in line)
    told = asked(book, "1", "99", number, "")

    assert "Choose 1 to " in told
    assert ["flywheel.toml"] == [path.name for path in book.procedures()]


def test_each_question_is_one_object(book: Book) -> None:
    """A script sees its name, its text and what can be chosen."""
    told = [json.loads(line) for line in asked(book, *FLANGE, *REST, "", face="--json").splitlines()]
    placed = next(each for each in told if each.get("part") == "placed")

    assert "How do they stand?" == placed["text"]
    assert ["1", "2", "3", "4", "5"] == [choice["key"] for choice in placed["choices"]]
