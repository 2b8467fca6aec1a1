"""The thing worked on is known from the start sheet as it is from the command line: found, listed, carried on."""

from __future__ import annotations

import json
import tomllib
from pathlib import Path

import pytest

from check.book_of_tools import made, said, walk
from clampbook.book.book import Book
from museum import own

FLANGE = """
format = 2
title = "Flange (invented)"
revision = "A"
source = "Invented for a test"
unit = "N·m"

[[ask]]
name = "Hull"
answer = "text"
is = "equipment"
required = true

[[group]]
name = "Flange bolts"
positions = "1-2"

[[stage]]
do = "tighten"
to = "60 N·m"
within = "±3 N·m"

[[follow_up]]
title = "Look again"
after = "1 d"

[[follow_up.stage]]
do = "tighten"
to = "60 N·m"
within = "±3 N·m"
"""
PULLS = "W5\n1\n60\n60\n+\n1\n"  # the tool, its zero, two readings, put back, closed


@pytest.fixture
def book(tmp_path: Path) -> Book:
    """A book with a flange whose start sheet asks for the hull, made once on Whinchat and looked at again."""
    book = made(tmp_path / "book")
    own(book.root, "flange", FLANGE)
    walk(book, "2026-03-02", "flange", typed=f"Whinchat\n{PULLS}")
    walk(book, "2026-03-05", "--of", book.runs()[0].id, "--follow-up", "Look again", typed=PULLS)
    return book


def of_each(book: Book) -> list[str]:
    """What the records say of the thing worked on."""
    return [tomllib.loads((run.path / "record.toml").read_text("utf-8"))["equipment"] for run in book.runs()]


def test_both_records_name_it(book: Book) -> None:
    """Answered once, in the first run; nobody is asked again at the follow-up."""
    assert ["Whinchat", "Whinchat"] == of_each(book)


def test_both_runs_are_found_by_it(book: Book) -> None:
    """Whoever looks for the boat finds what was answered as what was said on the command line."""
    _, out, _ = said("find", "--equipment", "Whinchat", "--json", book=book.root)

    assert ["Whinchat", "Whinchat"] == [each["equipment"] for each in json.loads(out)["runs"]]


def test_what_a_tool_touched_names_it(book: Book) -> None:
    """The call to the owner goes to the right boat."""
    _, out, _ = said("affected", "w5", "--json", book=book.root, clock="2026-03-06T09:00:00Z")

    assert ["Whinchat", "Whinchat"] == [each["equipment"] for each in json.loads(out)["runs"]]


def test_readings_as_a_table_name_it(book: Book) -> None:
    """Each row says of what it is."""
    _, out, _ = said("export", "--csv", book=book.root)

    rows = [line.split(",") for line in out.splitlines()]
    at = rows[0].index("worked_on")
    assert {"Whinchat"} == {row[at] for row in rows[1:]}


def test_a_put_right_name_is_the_name(tmp_path: Path) -> None:
    """Whinchta was a slip: what stands in the record is what was corrected to."""
    book = made(tmp_path / "book")
    own(book.root, "flange", FLANGE)

    walk(book, "2026-03-02", "flange", typed=f"Whinchta\n* 1\nWhinchat\n1\n{PULLS}")

    assert ["Whinchat"] == of_each(book)
