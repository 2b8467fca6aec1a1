"""Two tools that are both called W5, of two books: charted, listed and recalled each by itself."""

from __future__ import annotations

import csv
import json
from pathlib import Path

import pytest

from book.test_told_apart import renumbered
from book.test_troubles import check as checked
from check.book_of_tools import FLANGE, made, said
from clampbook.book.book import Book

OURS, THEIRS = ("60", "60.5", "60", "60"), ("58", "58", "58.5", "58")


def tightened(book: Book, number: str, readings: tuple[str, ...]) -> None:
    """A run of four pulls with the W5 of this number."""
    book.path("procedures", "flange.toml").write_text(FLANGE)
    renumbered(book, number)
    typed = "\n".join(("W5", "1", *readings, "+", "1", ""))
    status, out, talk = said("walk", "flange", "--plain", "--as", "Ines", book=book.root, typed=typed)
    assert 0 == status, out + talk


@pytest.fixture
def ours(tmp_path: Path) -> Book:
    """Our book, into which theirs was merged."""
    ours, theirs = made(tmp_path / "here"), made(tmp_path / "there")
    tightened(ours, "HM-1", OURS)
    tightened(theirs, "BS-7", THEIRS)
    checked(theirs, "2026-03-03", "56,60", "56,60")
    said("merge", str(theirs.root), book=ours.root)
    assert 2 == len(ours.runs())
    return ours


def charted(book: Book, *more: str) -> int:
    """How many readings a run chart of W5 has."""
    found = json.loads(said("trend", "--tool", "W5", *more, "--json", book=book.root)[1])
    return int(found["count"])


def test_the_run_chart_has_the_readings_of_one(ours: Book) -> None:
    """That of our book, or by its number the other one."""
    assert [4, 4, 4] == [charted(ours), charted(ours, "--serial", "HM-1"), charted(ours, "--serial", "bs-7")]


def test_readings_say_which_tool_and_book(ours: Book) -> None:
    """Two columns at the end, so that a spreadsheet can tell them apart."""
    out = said("export", "--csv", book=ours.root)[1]

    rows = list(csv.DictReader(out.splitlines()))
    assert {"HM-1": ours.id} == {row["tool_serial"]: row["book"] for row in rows if row["value"] in OURS}
    assert {"HM-1", "BS-7"} == {row["tool_serial"] for row in rows}
    assert 2 == len({row["book"] for row in rows})


def test_recall_lists_the_work_of_one(ours: Book) -> None:
    """Theirs failed its check; ours did nothing wrong."""
    mine = json.loads(said("affected", "W5", "--since", "2026-01-01", "--json", book=ours.root)[1])
    other = json.loads(said("affected", "W5", "--since", "2026-01-01", "--serial", "BS-7", "--json", book=ours.root)[1])

    assert [1, 1] == [len(found["runs"]) for found in (mine, other)]
    assert mine["runs"][0]["run"] != other["runs"][0]["run"]


def test_all_of_it_is_sound(ours: Book) -> None:
    """The check of their tool lies here, and is told in their log."""
    out = said("verify", book=ours.root)[1]

    assert 3 == out.count(": sealed, intact"), out
