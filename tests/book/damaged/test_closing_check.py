"""Checks with a damaged daybook, ended with what is sound of them: it counts against the tool and never for it."""

from __future__ import annotations

from pathlib import Path

import pytest

from check.book_of_tools import made, said
from clampbook.book.book import Book
from clampbook.book.checks import checks, open_check_of, tool_standing
from clampbook.book.toolbox import tool_named
from clampbook.check.folder import CheckFolder
from museum import log_of

BEFORE = ["21,5", "1", *["+"] * 5, "60 N·m"]
GOOD, BAD = ["59.4", "59.5", "59.6", "59.5", "59.4"], ["56.5", "56.4", "56.5"]


def damaged(folder: Path, pulls: list[str]) -> tuple[Book, CheckFolder, bytes]:
    """The check of a setting tool, stopped after these pulls and a note, which then lost half of its bytes."""
    book = made(folder / "book")
    typed = [*BEFORE, *pulls, "*"]
    said("check", "W2", "--at", "60", "--as", "Ines", book=book.root, typed="\n".join(typed) + "\n")
    said("check", "W2", "--as", "Ines", book=book.root)  # taken up again, and left: one more line
    check = checks(book)[0]
    whole = check.lines()[0]
    data = b"".join(line + b"\n" for line in [*whole[:-1], whole[-1][30:]])
    check.daybook.write_bytes(data)
    return book, check, data


@pytest.mark.parametrize(("pulls", "verdict"), [(GOOD, "undecided"), (BAD, "failed"), (GOOD[:2], "undecided")])
def test_what_is_sound_counts_against_the_tool_and_never_for_it(tmp_path: Path, pulls: list[str], verdict: str) -> None:
    """Not even where all that was to be pulled is within: a correction may be among what was lost."""
    book, check, data = damaged(tmp_path, pulls)

    status, out, _ = said("close-damaged", check.id, "--as", "Ines", book=book.root)

    assert 1 == status
    assert data == (check.path / "daybook.damaged-0001").read_bytes()
    standing = tool_standing(book)
    assert verdict == standing.last["w2"].verdict
    assert {} == standing.passed
    assert (
        (verdict == "failed") == (standing.failure("w2") is not None) == ("now out of service" in " ".join(out.split()))
    )
    assert open_check_of(book, tool_named(book, "w2")) is None


def test_verify_says_how_a_check_ended_as_damaged_stands(tmp_path: Path) -> None:
    """Named as damaged and not sealed, never among those with typed names; before that, what closes it is named."""
    book, check, _ = damaged(tmp_path, GOOD)

    assert f"clampbook close-damaged {check.id}" in said("check", "W2", "--as", "Ines", book=book.root)[2]
    said("close-damaged", check.id, "--as", "Ines", book=book.root)
    status, out, _ = said("verify", check.id, book=book.root)

    outcome, first, *rest = out.splitlines()
    assert (0, f"{check.id}: damaged, closed early: lines and record intact") == (status, first)
    assert "1 check intact: 1 not sealed" == outcome
    assert not rest[0].startswith(" ")  # where a problem of it would stand


def test_a_check_whose_end_the_log_holds_is_not_ended_again(tmp_path: Path) -> None:
    """What the log vouches for stays as it is, sound or not."""
    book = made(tmp_path / "book")
    (tmp_path / "readings.csv").write_text("reference,indicated\n" + "60,60.1\n" * 5)
    said("check", "W5", "--readings", str(tmp_path / "readings.csv"), "--as", "Ines", book=book.root)
    check = checks(book)[0]
    check.daybook.write_bytes(check.daybook.read_bytes()[:-40] + b"\n")
    before = log_of(book)

    status, _, err = said("close-damaged", check.id, "--as", "Ines", book=book.root)

    assert (2, before) == (status, log_of(book))
    assert "the book's log has its result" in err
    assert not list(check.path.glob("daybook.damaged-*"))
