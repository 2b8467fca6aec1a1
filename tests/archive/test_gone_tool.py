"""A tool that tools.toml does not hold any more: what it was used on is found by what runs, checks and log say."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest

from archive.test_two_of_one_id import tightened
from book.test_told_apart import renumbered
from book.test_troubles import check as checked
from check.book_of_tools import FLANGE, made, said
from clampbook.book.book import TOOLS, Book

FIRST, SECOND = ("60", "60.5", "60", "60"), ("58", "58", "58.5", "58")
_ENTRY = re.compile(r'\[\[tool\]\]\nid = "w5".*?(?=\n\[\[|\Z)', re.DOTALL)


@pytest.fixture
def book(tmp_path: Path) -> Book:
    """A book in which W5 was A123 for four pulls, then B456 for four more, which is another tool; then it is gone."""
    book = made(tmp_path / "book")
    tightened(book, "A123", FIRST)
    renumbered(book, "B456")
    assert 0 == said("tools", "--another", "w5", "--as", "Ines", book=book.root)[0]
    tightened(book, "B456", SECOND)
    gone(book)
    return book


def gone(book: Book) -> None:
    """Somebody takes the entry out of the file."""
    text = book.path(TOOLS).read_text(encoding="utf-8")
    without, taken_out = _ENTRY.subn("", text)
    assert 1 == taken_out
    book.path(TOOLS).write_text(without, encoding="utf-8")
    assert "w5" not in [tool.id for tool in book.tools()]


def found(book: Book, *arguments: str) -> dict[str, Any]:
    """The list of affected work."""
    status, out, err = said("affected", "W5", "--since", "2026-01-01", *arguments, "--json", book=book.root)
    assert 0 == status, err
    listed: dict[str, Any] = json.loads(out)
    return listed


def values(listed: dict[str, Any]) -> list[tuple[str, ...]]:
    """What was read with it, run by run."""
    return [tuple(f"{row['shown']['value']:g}" for row in run["readings"]) for run in listed["runs"]]


@pytest.mark.parametrize(("serial", "expected"), [("A123", FIRST), ("a 123", FIRST), ("B456", SECOND)])
def test_a_number_says_which_of_them(book: Book, serial: str, expected: tuple[str, ...]) -> None:
    """Each has its own run and no other."""
    assert [expected] == values(found(book, "--serial", serial))


def test_without_a_number_it_is_the_one_that_had_the_id_last(book: Book) -> None:
    """As it would be if its entry still stood there."""
    assert [SECOND] == values(found(book))


def test_with_another_tool_under_its_label_now(book: Book) -> None:
    """A number that stands in no entry means the tool of then; its unit and name are its own."""
    tools = book.path(TOOLS)
    entry = '[[tool]]\nid = "w5"\nname = "W5"\nserial = "C789"\nkind = "indicating"\nunit = "lbf·ft"\n'
    more = 'range = ["5 lbf·ft", "80 lbf·ft"]\nresolution = "0.1 lbf·ft"\n\n'
    tools.write_text(entry + more + tools.read_text(encoding="utf-8"), encoding="utf-8")
    assert 0 == said("tools", "--another", "w5", "--as", "Ines", book=book.root)[0]

    assert [FIRST] == values(found(book, "--serial", "A123"))
    assert [] == values(found(book))


def test_its_failed_check_is_remembered(tmp_path: Path) -> None:
    """The check that found it off says since when, and how far."""
    book = made(tmp_path / "book")
    tightened(book, "A123", FIRST)
    checked(book, "2026-03-03", "56,60", "56,60")
    gone(book)

    status, out, _ = said("affected", "W5", "--json", book=book.root)
    listed = json.loads(out)

    assert 1 == status
    assert [FIRST] == values(listed)
    assert 4 == listed["outside"] > 0
    assert listed["deviation"][0]["deviation"]["value"] == pytest.approx(100 * (60 - 56) / 56, abs=0.01)


def test_a_tool_that_was_never_asked_about_counts_what_told_no_number(tmp_path: Path) -> None:
    """It got its number after the first run: one tool, two runs."""
    book = made(tmp_path / "book")
    tightened_without_a_number(book)
    tightened(book, "A123", SECOND)
    gone(book)

    assert sorted([FIRST, SECOND]) == sorted(values(found(book, "--serial", "A123")))


def tightened_without_a_number(book: Book) -> None:
    """A run with the W5 that has no number in its entry."""
    book.path("procedures", "flange.toml").write_text(FLANGE)
    typed = "\n".join(("W5", "1", *FIRST, "+", "1", ""))
    assert 0 == said("walk", "flange", "--plain", "--as", "Ines", book=book.root, typed=typed)[0]


def test_a_number_that_nothing_knows_is_told_with_those_that_are_known(book: Book) -> None:
    """A slip in a number must not read as nothing found."""
    status, _, err = said("affected", "W5", "--serial", "X999", book=book.root)

    assert 2 == status
    assert "No tool “W5” with serial X999 in this book. Serials here: A123, B456" in err


def test_a_name_that_nothing_knows(book: Book) -> None:
    """The tools that there are."""
    status, _, err = said("affected", "W77", book=book.root)

    assert 2 == status
    assert "No tool “W77” in this book. Tools here: W2, R1" in err
