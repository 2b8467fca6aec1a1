"""What is said before a run is opened whose first pull no tool of the book can do."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from at_keyboard import named
from clampbook.book.book import Book
from clampbook.book.starting.terms import Terms, work_named
from clampbook.book.starting.without_a_tool import without_a_tool
from museum import DAY, museum, own

HEAD, CAPS = "whinchat-pattern-c-head", "whinchat-crank-caps"
LOOK = """\
format = 2
title = "Hose clips"
revision = "A"
source = "invented"
unit = "N·m"

[[group]]
name = "Clips"
positions = "1-2"

[[stage]]
do = "inspect"
group = "Clips"
ask = "Both clips seated?"
asked = "once"
expect = "yes"
"""


@pytest.fixture
def book(tmp_path: Path) -> Book:
    """The demo book."""
    return museum(tmp_path / "book")


def only(book: Book, *ids: str) -> None:
    """Of the tools of the book these alone are left."""
    file = book.root / "tools.toml"
    head, *entries = re.split(r"(?=\[\[)", file.read_text(encoding="utf-8"))
    left = (each for each in entries if any(f'id = "{id}"' in each for id in ids))
    file.write_text("".join((head, *left)), encoding="utf-8")


def told(book: Book, name: str, *, trial: bool = False) -> tuple[str, ...]:
    """What is said before a run of this procedure."""
    return without_a_tool(book, work_named(book, name), Terms(person=named(book, "Ines"), trial=trial), DAY)


def test_nothing_where_the_tools_can_do_it(book: Book) -> None:
    """Every procedure of the demo has its tools."""
    assert {()} == {told(book, path.stem) for path in book.procedures()}


def test_an_empty_book_has_none_for_the_first_pull(book: Book) -> None:
    """What it needs is named, and where one is added."""
    only(book)

    needs, none, where = told(book, HEAD)
    assert "Stage 1 needs a torque tool for 28.0 to 32.0 N·m." == needs
    assert "There are no torque tools in this book yet." == none
    assert f"Add one under Tools on the bench, or write it into {book.root / 'tools.toml'}." == where


def test_each_tool_is_named_with_what_rules_it_out(book: Book) -> None:
    """A tool that starts at 200 N·m, and one that shows an angle."""
    only(book, "w9", "g1")

    assert ("None of these can do it:", "W9: starts at 200 N·m.", "G1: not a torque tool.") == told(book, HEAD)[1:-1]


def test_a_later_stage_is_the_first_where_nothing_is_pulled_before(book: Book) -> None:
    """The caps are marked before they are pulled to 15 N·m, below the scale of W7."""
    only(book, "w7")

    assert "Stage 2 needs a torque tool for 13.0 to 17.0 N·m." == told(book, CAPS)[0]


def test_a_tool_that_needs_a_reason_is_one(book: Book) -> None:
    """W7's calibration is overdue, and it may be taken all the same."""
    only(book, "w7")

    assert () == told(book, HEAD)


def test_nothing_is_said_where_nothing_is_pulled(book: Book) -> None:
    """Looking at two clips needs no tool."""
    only(book)
    own(book.root, "clips", LOOK)

    assert () == told(book, "clips")


def test_tools_that_cannot_be_read_are_said_elsewhere(book: Book) -> None:
    """With their lines, and not as if there were none."""
    (book.root / "tools.toml").write_text("[[tool]]\nid = 3\n", encoding="utf-8")

    assert () == told(book, HEAD)


def test_the_first_pull_is_that_of_this_run(book: Book) -> None:
    """A trial leaves the first stage out, and W9 is large enough for what follows."""
    only(book, "w9")
    text = LOOK + (
        '\n[[stage]]\ndo = "tighten"\nto = "30 N·m"\nwithin = "±2 N·m"\ntrial = "skip"\n'
        '\n[[stage]]\ndo = "tighten"\nto = "300 N·m"\nwithin = "±15 N·m"\n'
    )
    own(book.root, "clips", text)

    assert "Stage 2 needs a torque tool for 28.0 to 32.0 N·m." == told(book, "clips")[0]
    assert () == told(book, "clips", trial=True)
