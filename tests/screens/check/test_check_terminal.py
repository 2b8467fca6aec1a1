"""One whole check in a real pseudo-terminal, by the keys of a numeric pad."""

from __future__ import annotations

import re
from decimal import Decimal
from typing import Any

import pytest

from at_terminal import PAD, Person, terminal
from clampbook.book.book import Book
from clampbook.book.checks import checks
from clampbook.units import convert
from museum import lines_of

OFF = {"slow": Decimal("1.01"), "quick": Decimal("1.03")}  # what the tool says, times what the reference says
EMPTIES = "\x15"  # Ctrl-U
TRIES, LOOKS = 5, 30
_SIMPLE = (
    ("How warm are tool and reference", "21.5\r"),
    ("read zero", "1\r"),
    ("Exercise W5", "+"),
    ("What was adjusted", "1\r"),
    ("Close the check", "1\r"),
)


def events(book: Book) -> list[dict[str, Any]]:
    """The lines of the only check."""
    (check,) = checks(book)
    return lines_of(check)


def pulled(asked: str) -> str:
    """What the reference shows for a pull, in its own unit."""
    found = re.search(r"Bring W5 to ([\d.]+) lbf·ft( \(quick\))?", asked)
    assert found is not None, asked
    shown = convert(Decimal(found[1]), "lbf·ft", "N·m") / OFF["quick" if found[2] else "slow"]
    return f"{shown:.2f}\r"


def answer(person: Person, book: Book) -> None:
    """Answer what is asked, and wait until it is stored; what went by a busy machine is pressed again."""
    before = len(events(book))
    asked = person.asked
    keys = next((keys for words, keys in _SIMPLE if words in asked), "") or pulled(asked)
    for _ in range(TRIES):
        typed_in(person, keys)
        for _ in range(LOOKS):
            person.look()
            if len(events(book)) > before:
                return
    raise AssertionError(f"nothing was stored: {person.text}")


def typed_in(person: Person, keys: str) -> None:
    """Type a number, look whether it stands there, and only then press Enter."""
    number = keys.removesuffix("\r")
    if number == keys:
        person.press(keys)
        return
    for _ in range(TRIES):
        person.press(number)
        person.look()
        if person.typed.endswith(f" {number}"):
            break
        person.program.send(EMPTIES)
        person.look(0.5)
    person.press("\r")


@pytest.mark.parametrize("size", [(80, 24), (40, 15)])
def test_two_ways_of_pulling_beside_each_other(book: Book, size: tuple[int, int]) -> None:
    """From the first question to the record; the first way judges the tool."""
    wishes = ("--times", "1", "--technique", "slow", "--technique", "quick")
    with terminal(book.root, "check", "w5", "--as", "Ines", *wishes, size=size) as person:
        person.wait_for("How warm")
        while events(book)[-1]["event"] != "closed":
            answer(person, book)
        shown = person.wait_for("Report:")
        person.press("\r")
        status = person.to_its_end()

    names = [event["event"] for event in events(book)]
    assert (0, 6, "closed") == (status, names.count("pulled"), names[-1])
    assert {key for _, key in person.pressed} <= PAD
    assert "Passed ●" in shown
    (check,) = checks(book)
    assert (check.path / "report.pdf").read_bytes().startswith(b"%PDF-")


def test_ctrl_c_is_a_safe_pause_and_the_check_goes_on_later(book: Book) -> None:
    """Status 130; what was pulled is kept."""
    with terminal(book.root, "check", "w5", "--as", "Ines", "--times", "1", size=(80, 24)) as person:
        person.wait_for("How warm")
        while "pulled" not in [event["event"] for event in events(book)]:
            answer(person, book)
        person.send("\x03")
        status = person.to_its_end()
    with terminal(book.root, "check", "w5", "--as", "Tomas", size=(80, 24)) as person:
        person.wait_for("Resumed")

    assert 130 == status
    assert ["paused", "resumed"] == [event["event"] for event in events(book)][-3:-1]
