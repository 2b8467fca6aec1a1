"""From an empty home folder to the bench of an own book, in a real pseudo-terminal."""

from __future__ import annotations

from pathlib import Path

import pytest

from at_terminal import terminal
from clampbook.book.book import Book

ANSWERS = (
    ("Where should the book be", ""),
    ("What is your workshop called", "Harbour museum"),
    ("Who works here", "Ines"),
    ("Who else works here", "Jonas"),
    ("Who else works here.*Jonas", ""),
    ("Which paper", "1"),
    ("Which torque unit", "1"),
    ("Your first torque tool", "W2"),
    ("W2: which kind", "1"),
    ("W2: which unit", "1"),
    ("W2: where does its scale start", "20"),
    ("W2: where does its scale end", "100"),
    ("W2: how far apart", "0.5"),
    ("W2: on which day", "2027-03-02"),
    ("Your second torque tool", ""),
    ("Make this book", "1"),
)


@pytest.mark.parametrize("size", [(80, 24), (40, 15)])
def test_from_an_empty_home_to_the_bench(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, size: tuple[int, int]
) -> None:
    """By what is read on the screen; the next start is at the bench of that book."""
    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.delenv("XDG_DATA_HOME", raising=False)
    with terminal(None, size=size) as person:
        person.wait_for("You have no book yet")
        person.press("1\r")
        for asked, answer in ANSWERS:
            person.wait_for(asked)
            person.press(f"{answer}\r")
        person.wait_for("New book: .*number or")
        person.press("0\r")
        assert 0 == person.to_its_end()

    book = Book.open(tmp_path / ".local" / "share" / "clampbook")
    assert ("Harbour museum", ["W2"]) == (book.name, [tool.name for tool in book.tools()])
    with terminal(None, size=size) as person:
        assert "Harbour museum" in person.wait_for("1 tool")
        person.press("0\r")
        assert 0 == person.to_its_end()
