"""From an empty home to the printed report of an own joint, by keys alone on a real terminal of 80 by 24."""

from __future__ import annotations

from pathlib import Path

import pytest

from at_terminal import Person, terminal
from clampbook.book.book import Book

A_BOOK = (
    ("You have no book yet", "1"),
    ("Where should the book be", ""),
    ("What is your workshop called", "Harbour museum"),
    ("Who works here", "Ines"),
    ("Who else works here", ""),
    ("Which paper", "1"),
    ("Which torque unit", "1"),
    ("Your first torque tool", "W1"),
    ("W1: which kind", "1"),
    ("W1: which unit", "1"),
    ("W1: where does its scale start", "4"),
    ("W1: where does its scale end", "40"),
    ("W1: how far apart", "0.2"),
    ("W1: on which day", "2027-03-02"),
    ("Your second torque tool", "W5"),
    ("W5: which kind", "2"),
    ("W5: which unit", "1"),
    ("W5: where does its scale start", "5"),
    ("W5: where does its scale end", "60"),
    ("W5: how far apart", "0.1"),
    ("W5: on which day", "2027-03-02"),
    ("Make this book", "1"),
)
A_JOINT = (
    ("Which joint is this", "Thermostat cover"),
    ("What are its fasteners called", "Cover bolts"),
    ("How many are there", "4"),
    ("How do they stand", "1"),
    ("Which thread", "M8"),
    ("Which property class", "8.8"),
    ("What is on thread", "dry"),
    ("Which nut factor", "0.16, 0.24"),
    ("To which torque at the end", "20 Nm"),
    ("In which rounds", ""),
    ("How far off may a torque be", "+-5%"),
    ("Turned by an angle", ""),
    ("In which order", "1"),
    ("Wait after the last pull", ""),
    ("Recheck them", ""),
    ("What is inspected", ""),
    ("Follow-up", ""),
    ("After which use", ""),
    ("Where do the values come from", "Sheet 4, page 2, looked up on 2026-03-02"),
    ("Which revision", ""),
)


def answered(person: Person, answers: tuple[tuple[str, str], ...]) -> None:
    """Each question by what is read on the screen."""
    for asked, answer in answers:
        person.wait_for(asked)
        person.press(f"{answer}\r")


def chosen(person: Person, text: str) -> None:
    """The line of the bench that begins so, by its number."""
    line = next(line for line in person.screen.display if text in line)
    person.press(f"{line.split()[0]}\r")


def test_from_an_empty_home_to_the_report_of_an_own_joint(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A book with two tools, a procedure by questions that the review finds clean, its walk, and a report."""
    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.delenv("XDG_DATA_HOME", raising=False)
    with terminal(None, size=(80, 24), tool="") as person:
        answered(person, A_BOOK)
        person.wait_for("New book: .*number or")
        of_the_book = len(person.pressed)
        chosen(person, "Start a new procedure")
        answered(person, A_JOINT)
        assert "Review: no errors, no queries." in person.wait_for(r"Save to procedures/thermostat-cover\.toml\?")
        person.press("\r")
        person.wait_for("No errors, no queries")
        person.send("\x1b")
        person.wait_for("Thermostat cover · revision A, draft")
        of_the_joint = len(person.pressed) - of_the_book
        person.procedure = "Thermostat cover"
        person.until("Run closed: done", most=40)
        person.wait_for("Report: ")

    book = Book.open(tmp_path / ".local" / "share" / "clampbook")
    (run,) = book.runs()
    assert (run.path / "report.pdf").exists()
    assert ["W1", "W5"] == [tool.name for tool in book.tools()]
    assert of_the_book <= 90, of_the_book  # for 22 questions, most of what is typed the names of people and tools
    assert of_the_joint <= 125, of_the_joint  # for 20 questions, the source of the values a third of it
    assert len(person.pressed) <= 240, len(person.pressed)
