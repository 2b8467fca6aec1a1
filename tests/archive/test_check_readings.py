"""Readings of a check as CSV: each a row with its units, also those that count no more."""

import csv
from io import StringIO
from pathlib import Path

import pytest

from check.book_of_tools import FLANGE, made, said, walk
from clampbook.archive.check_readings import HEAD
from clampbook.book.book import Book
from clampbook.book.checks import checks

BEFORE = ["21,5", "1", *["+"] * 5, "60 N·m"]
PULLS = ["60.1", "59.9", "60.0", "60.2", "66.0"]


@pytest.fixture
def book(tmp_path: Path) -> Book:
    """A book with a check of W2: one pull void, the last of the others far from them."""
    found = made(tmp_path / "book")
    typed = "".join(f"{line}\n" for line in (*BEFORE, "-", "55", *PULLS, "-", "1"))
    said("check", "W2", "--at", "60", "--as", "Ines", book=found.root, typed=typed)
    return found


def exported(book: Book, *arguments: str) -> list[dict[str, str]]:
    """The rows of a table, by the names of its columns."""
    status, out, talk = said("export", *arguments, "--csv", book=book.root)
    assert status == 0, talk
    return list(csv.DictReader(StringIO(out)))


def test_each_reading_is_a_row_with_its_units(book: Book) -> None:
    """By the name of the check; what was read counts in the tool's unit."""
    (check,) = checks(book)
    rows = [row for row in exported(book, check.id) if row["standing"] == "counts"]

    assert list(HEAD) == list(rows[0])
    assert PULLS == [row["reference"] for row in rows]
    assert {("60", "N·m", "60", "N·m", "W2", "R1")} == {
        (row["point"], row["point_unit"], row["indicated"], row["indicated_unit"], row["tool"], row["reference_tool"])
        for row in rows
    }
    assert ["no", "no", "no", "no", "yes"] == [row["far_from_others"] for row in rows]
    assert ["no", "no", "no", "no", "yes"] == [row["beyond"] for row in rows]


def test_a_void_pull_is_a_row_with_its_cause(book: Book) -> None:
    """The number that the reference showed, and no deviation."""
    (void,) = [row for row in exported(book, "w2") if row["standing"] == "void"]

    assert ("55", "bad pull", "", "") == (void["typed"], void["cause"], void["deviation_percent"], void["beyond"])


def test_rows_of_a_file_have_their_number_there(book: Book, tmp_path: Path) -> None:
    """They have no line of the daybook, and nobody typed them."""
    file = tmp_path / "readings.csv"
    file.write_text("reference,indicated\n60,60\n60,60.1\n")
    said("check", "W5", "--readings", str(file), "--as", "Ines", book=book.root)

    assert [("1", "", ""), ("2", "", "")] == [(row["row"], row["line"], row["typed"]) for row in exported(book, "w5")]


def test_runs_and_checks_do_not_go_into_one_table(book: Book) -> None:
    """Their columns differ; pulls without a reading are of runs only."""
    (book.root / "procedures" / "flange.toml").write_text(FLANGE, encoding="utf-8")
    run = walk(book, "2026-03-03", "flange", typed="pause\n")

    assert 2 == said("export", run.id, "w2", "--csv", book=book.root)[0]
    assert 2 == said("export", "w2", "--clicks", "--csv", book=book.root)[0]
