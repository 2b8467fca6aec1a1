"""Another serial number under an id that is known: a person says once whether that is another tool, and what is known
of the one is known of the other only where it is the same."""

from __future__ import annotations

import re
import signal
import subprocess
import sys
import tomllib
from pathlib import Path
from typing import Any

import pytest

from book.test_troubles import Walking, check, events, state_of
from check.book_of_tools import FLANGE, made, said
from clampbook.book.book import TOOLS, Book
from clampbook.record.pages.blocks import Heading, Sentences
from clampbook.record.pages.pages import blocks
from clampbook.record.record import build
from clampbook.run import plan as plans
from clampbook.run_folder import RunFolder
from museum import log_of, own

SERIAL = re.compile(r'\nserial = ".*"')


@pytest.fixture
def book(tmp_path: Path) -> Book:
    """A book with W2, W5 and R1, whose W5 is A123."""
    book = made(tmp_path / "book")
    own(book.root, "flange", FLANGE)
    renumbered(book, "A123")
    return book


def renumbered(book: Book, serial: str | None) -> None:
    """Another serial number in the entry of W5."""
    text = SERIAL.sub("", book.path(TOOLS).read_text(encoding="utf-8"))
    number = "" if serial is None else f'\nserial = "{serial}"'
    book.path(TOOLS).write_text(text.replace('id = "w5"', f'id = "w5"{number}'), encoding="utf-8")


def dropped(book: Book) -> None:
    """A run in which W5 fell after one pull."""
    walk = Walking(book)
    walk.through("W5", "1", "60", "* 7", "1", "2")
    walk.leave()
    assert "dropped" in state_of(book)[1][0]


def answers(book: Book) -> list[tuple[Any, ...]]:
    """What people said of serial numbers, as the log holds it."""
    found = [line for line in log_of(book) if line["event"] == "tool_told_apart"]
    return [(each["tool"], each["serial_was"], each["serial"], each["same"], each["by"]) for each in found]


def test_it_is_asked_when_the_tool_is_taken(book: Book) -> None:
    """Before adapter and reasons, with both numbers; scripts read the values of the choices."""
    dropped(book)
    renumbered(book, "B456")
    walk = Walking(book, "flange")
    asked = walk.answer("W5")

    assert "same_tool" == asked["part"]
    assert "W5 had serial A123, now B456. Is it the same tool?" in asked["text"]
    assert ["another", "same"] == [choice["value"] for choice in asked["choices"]]
    walk.leave()
    assert [] == answers(book)


def test_another_tool_begins_anew(book: Book) -> None:
    """It did not fall, and needs no reason; the answer stands in daybook and log, with who gave it."""
    dropped(book)
    renumbered(book, "B456")
    walk = Walking(book)
    walk.through("W5", "1", "1", "60")
    walk.leave()

    assert [("w5", "A123", "B456", False, "ines")] == answers(book)
    lines = [line for run in (0, 1) for line in events(book, run)]
    (taken,) = [line for line in lines if line["event"] == "tool_taken" and line["tool"]["serial"] == "B456"]
    assert ("A123", False, []) == (taken["serial_was"], taken["same"], taken["troubles"])
    assert not [each for each in state_of(book)[1] if "dropped" in each]


def test_the_same_tool_keeps_what_is_known_of_it(book: Book) -> None:
    """Its number was mistyped: it fell, and a reason is wanted."""
    dropped(book)
    renumbered(book, "A124")
    walk = Walking(book)
    asked = walk.through("W5", "2")
    assert "reason" == asked["part"] and "dropped" in asked["text"]
    walk.through("1", "1", "60")
    walk.leave()

    assert [("w5", "A123", "A124", True, "ines")] == answers(book)
    assert "dropped" in " ".join(state_of(book)[1])


@pytest.mark.parametrize(
    ("answer", "now", "told"),
    [
        ("1", "B456", "W5 had serial A123, now B456. Another tool, says Ines (line 2)."),
        ("2", "A124", "W5 had serial A123, now A124. The same tool, says Ines (line 2)."),
    ],
)
def test_page_one_tells_the_answer(book: Book, answer: str, now: str, told: str) -> None:
    """Below the tools, of the run in which it was given; the next one has nothing to tell."""
    before = Walking(book)
    before.through("W5", "1", "60")
    before.leave()
    renumbered(book, now)
    for lines in (("W5", answer, "1", "60"), ("W5", "1", "60")):
        walk = Walking(book)
        walk.through(*lines)
        walk.leave()

    assert [[], [], [told]] == sorted(below_the_tools(run) for run in book.runs())


def below_the_tools(run: RunFolder) -> list[str]:
    """The sentences that follow the table of tools on page one."""
    record = tomllib.loads(build(run.procedure(), run.plan(), run.daybook.read_bytes()).decode())
    shown = list(blocks(plans.decode(run.plan()), record, {}))
    at = next(n for n, each in enumerate(shown) if isinstance(each, Heading) and each.text == "Tools used")
    after = shown[at + 2]
    return list(after.lines) if isinstance(after, Sentences) else []


def test_it_is_asked_once(book: Book) -> None:
    """Not in the next run, nor when the first tool comes back; of that one all is known still."""
    dropped(book)
    renumbered(book, "B456")
    first = Walking(book)
    first.through("W5", "1", "1", "60")
    first.leave()
    second = Walking(book)
    assert "zero_tool" == second.answer("W5")["prompt"]
    second.leave()
    renumbered(book, "a 123")

    assert "dropped" in " ".join(state_of(book)[1])
    third = Walking(book)
    assert "reason" == third.answer("W5")["part"]
    third.leave()
    assert 1 == len(answers(book))


def test_a_new_tool_in_the_run_in_which_the_old_one_fell(book: Book) -> None:
    """W5 fell at bolt 2, and a new one gets its label. What the old one pulled stays as it was; no reason is wanted."""
    walk = Walking(book)
    walk.through("W5", "1", "60", "* 7", "1", "2")
    walk.leave()
    renumbered(book, "B456")
    again = Walking(book, "--resume", book.runs()[0].id, clock="2026-03-02T09:01:00Z+5s")
    for _ in range(6):
        if again.asked["prompt"] == "take_tool":
            break
        again.answer("1")
    again.through("W5", "1")

    assert "zero_tool" == again.asked["prompt"]
    again.through("1", "60")
    again.leave()
    taken = [line for line in events(book) if line["event"] == "tool_taken"][-1]
    assert (False, True, []) == (taken["same"], taken["another"], taken["troubles"])


def test_a_tool_that_failed_its_check_is_not_cleared_by_a_mistyped_number(book: Book) -> None:
    """As the same tool it is out of service, however its number is written."""
    check(book, "2026-03-02", "56,60", "56,60")
    renumbered(book, "A124")
    walk = Walking(book)

    assert "out of service" in walk.through("W5", "2")["refused"]
    walk.leave()
    assert "out of service" == state_of(book)[0]


def test_a_first_serial_number_is_no_change(tmp_path: Path) -> None:
    """Nothing was known before: nothing is asked, and the past stays the tool's own."""
    book = made(tmp_path / "book")
    own(book.root, "flange", FLANGE)
    dropped(book)
    renumbered(book, "A123")
    walk = Walking(book)

    assert "reason" == walk.answer("W5")["part"]
    walk.leave()


KILLED = """
import os, signal, sys
from clampbook.book import troubles
troubles.tell_troubles = lambda *_, **__: os.kill(os.getpid(), signal.SIGKILL)
from clampbook import cli
cli.status(["walk", "flange", "--plain", "--as", "Ines", "--book", sys.argv[1]])
"""


def test_an_answer_that_the_log_had_not_heard_is_told_at_the_next_start(book: Book) -> None:
    """The program is killed between daybook and log."""
    check(book, "2026-03-01", "59.9,60", "60.1,60")
    renumbered(book, "B456")
    killed = subprocess.run(
        [sys.executable, "-c", KILLED, str(book.root)], input=b"W5\n1\n", capture_output=True, check=False
    )
    assert -signal.SIGKILL == killed.returncode
    assert [] == answers(book)

    said("runs", book=book.root)

    assert [("w5", "A123", "B456", False, "ines")] == answers(book)
