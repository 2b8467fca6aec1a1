"""The end of a paper form that was typed in: what it left open is told where its run is told to be closed."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from line_by_line import printed
from museum import museum

FLANGE = "whinchat-coupling-flange"
CLOCK = "2026-03-02T12:00:00Z+5s"
HEAD = ["1", "2026-03-01 8:00", "-", "-"]  # its revision, its beginning, nobody at “Done by”, no scan
BLANK = [*HEAD, *["-"] * 140, "Ines", "1"]  # nothing stands in any row; signed as typed in, and closed
ASKED = ["walk", FLANGE, "--late", "--as", "Ines"]
LEFT_OPEN = r"Entered late from paper: done, \d+ deviations, 12 positions not known, not signed as assembler\."


@pytest.fixture
def book(tmp_path: Path) -> Path:
    """The demo book."""
    museum(tmp_path / "book")
    return tmp_path / "book"


def test_what_it_left_open_is_told_where_it_is_closed(book: Path) -> None:
    """A form without a row: none of its bolts is known, and nobody signed."""
    told = " ".join(printed(CLOCK, book, *ASKED, "--plain", lines=BLANK).split())

    assert re.search(rf"Run closed\. {LEFT_OPEN} Record: ", told)
    assert 1 == told.count("Run closed.")
    assert "Run closed: done" not in told


def test_the_last_object_tells_it_too(book: Path) -> None:
    """Beside the outcome, for a script."""
    last = json.loads(printed(CLOCK, book, *ASKED, "--json", lines=BLANK).splitlines()[-1])

    assert "done" == last["finished"]
    assert re.fullmatch(rf"Run closed\. {LEFT_OPEN}", last["text"])


def test_all_who_stand_at_done_by_are_known_by_their_initials(book: Path) -> None:
    """Asked for line by line, or named with the command: “T.” is then Tomas, without a question, and in the record."""
    began = ["1", "2026-03-01 8:00"]
    for named, given in (((), ["Maud", "Tomas", ""]), (("--done-by", "Maud", "--done-by", "Tomas"), [])):
        rows = [*began, *given, *["-"] * 12, "/1 @8:20 Washer", "T."]
        told = printed(CLOCK, book, *ASKED, *named, "--plain", lines=rows)

        assert "T. is new here" not in told
        assert "Noted: 08:20, coupling bolt 1, Tomas." in " ".join(told.split())


def test_several_pull_only_on_a_form(book: Path) -> None:
    """Of a walk one person pulls beside whoever types."""
    told = printed(CLOCK, book, "walk", FLANGE, "--as", "Ines", "--done-by", "Maud", "--done-by", "Tomas", "--plain")

    assert "" == told
    assert not list((book / "runs").glob("*"))
