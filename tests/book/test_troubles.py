"""Trouble with a tool belongs to the book: what a run tells, or a check finds, all others hear at their next prompt."""

from __future__ import annotations

import json
import signal
import subprocess
import sys
import tomllib
from pathlib import Path
from typing import Any

import pytest

from check.book_of_tools import FLANGE, begun, made, said
from clampbook.book.book import Book
from clampbook.book.mending import mend
from museum import lines_of, log_of, own

NINE, TEN = "2026-03-02T09:00:00Z+5s", "2026-03-02T10:00:00Z+5s"
# Takes up the last run, answers, and is killed when the book's log is to be written.
KILLED = """
import os, signal, sys
from clampbook.book import troubles
troubles.tell_troubles = lambda *_, **__: os.kill(os.getpid(), signal.SIGKILL)
from clampbook import cli
cli.status(["walk", "flange", "--plain", "--as", "Ines", "--book", sys.argv[1]])
"""


@pytest.fixture
def book(tmp_path: Path) -> Book:
    """A book with W2, W5 and the reference R1."""
    book = made(tmp_path / "book")
    own(book.root, "flange", FLANGE)
    return book


class Walking:
    """A walk in a program of its own, one JSON object for each question."""

    def __init__(self, book: Book, *more: str, clock: str = NINE) -> None:
        what = more or ("flange",)
        self.process = begun("walk", *what, "--plain", "--json", "--as", "Ines", book=book.root, clock=clock)
        self.asked = self._next()

    def answer(self, line: str) -> dict[str, Any]:
        """One line in; what is asked, or said to be wrong, then."""
        assert self.process.stdin is not None
        self.process.stdin.write(f"{line}\n")
        self.process.stdin.flush()
        self.asked = self._next()
        return self.asked

    def _next(self) -> dict[str, Any]:
        assert self.process.stdout is not None
        found = json.loads(self.process.stdout.readline())
        assert isinstance(found, dict)
        return self._next() if "stored" in found else found

    def through(self, *lines: str) -> dict[str, Any]:
        """Several lines."""
        for line in lines:
            self.answer(line)
        return self.asked

    def leave(self) -> None:
        """The input ends: the run is paused."""
        assert self.process.stdin is not None
        self.process.stdin.close()
        self.process.wait(60)

    def tools(self) -> list[str]:
        """The tools that can be chosen now."""
        return [choice["text"] for choice in self.asked["choices"]]


def check(book: Book, day: str, *rows: str) -> None:
    """A check of W5 from a file, on a day."""
    file = book.root.parent / "readings.csv"
    file.write_text("\n".join(("reference,indicated", *rows * 5)) + "\n")
    said("check", "w5", "--readings", str(file), "--as", "Ines", book=book.root, clock=f"{day}T09:30:00Z")


def state_of(book: Book, tool: str = "w5") -> tuple[str, list[str]]:
    """A tool as `clampbook tools` has it."""
    found = json.loads(said("tools", "--json", book=book.root)[1])
    return next((each["state"], each["because"]) for each in found["tools"] if each["id"] == tool)


def events(book: Book, run: int = 0) -> list[dict[str, Any]]:
    """The lines of a run."""
    return lines_of(book.runs()[run])


def test_a_check_that_fails_beside_an_open_run_takes_its_tool_away(book: Book) -> None:
    """Another program finds W5 off while a bolt is being pulled with it: the reading is kept, then a tool is asked for,
    and W5 is none that could be taken."""
    check(book, "2026-03-01", "59.9,60", "60.1,60")
    walk = Walking(book)
    walk.through("W5", "1", "60")
    assert ("tighten", "2") == (walk.asked["prompt"], walk.asked["position"])
    check(book, "2026-03-02", "56,60", "56,60")
    walk.answer("60.5")

    assert ("take_tool", "3") == (walk.asked["prompt"], walk.asked["position"])
    assert [{"tool": "w5", "why": "failed"}] == walk.asked["in_question"]
    assert "out of service" in walk.answer("W5")["refused"]
    walk.leave()
    assert ("out of service", ["out of service: failed its check, off by +7.14 %"]) == state_of(book)
    (suspicion,) = [line for line in events(book) if line["event"] == "tool_suspected"]
    assert (4, True) == (suspicion["since"], suspicion["withdrawn"]) or suspicion["since"] < suspicion["seq"]
    record = tomllib.loads(said("record", book.runs()[0].id, book=book.root)[1])
    (asked,) = record["in_question"]
    assert [[asked["line"]], [asked["line"]]] == [reading["in_question_at_lines"] for reading in record["reading"]]
    assert ("failed", "2026-03-02") == (asked["why"], asked["on"])


def test_a_check_that_passes_gives_it_back(book: Book) -> None:
    """Put right, W5 is ready again at the next prompt, without a reason, and what is pulled then is in no question."""
    check(book, "2026-03-01", "59.9,60", "60.1,60")
    walk = Walking(book)
    walk.through("W5", "1", "60")
    check(book, "2026-03-02", "56,60", "56,60")
    walk.answer("60.5")
    check(book, "2026-03-02", "59.9,60", "60.1,60")
    walk.answer("/ the kettle is on")
    walk.through("W5", "1", "60")
    walk.leave()

    record = tomllib.loads(said("record", book.runs()[0].id, book=book.root)[1])
    assert [True, True, False] == ["in_question_at_lines" in reading for reading in record["reading"]]
    assert [("w5", "failed", 2)] == [(row["tool"], row["why"], row["pulls"]) for row in record["in_question"]]


def test_what_falls_in_one_run_is_laid_down_in_another(book: Book) -> None:
    """Both have W5 in hand. The first tells that it fell; the second asks for a tool at its next prompt, and W5 is the
    last of those that can be taken."""
    first, second = Walking(book), Walking(book)
    first.through("W5", "1", "60")
    second.through("W5", "1", "60")
    first.through("* 7", "1")
    second.answer("60.5")

    assert ("take_tool", "3") == (second.asked["prompt"], second.asked["position"])
    assert second.tools()[-1].startswith("W5") and second.tools()[0].startswith("W2")
    second.leave()
    first.leave()
    assert ["tool_dropped"] == [line["event"] for line in log_of(book) if line["event"].startswith("tool_d")]
    assert ("check due", ["check due: dropped on 2026-03-02, use needs a reason"]) == (
        state_of(book)[0],
        [each for each in state_of(book)[1] if "dropped" in each],
    )


def test_the_next_run_takes_it_for_a_reason_that_stands_on_page_one(book: Book) -> None:
    """All that is pulled with it carries the question, though nothing happened in this run."""
    walk = Walking(book)
    walk.through("W5", "1", "60", "* 7", "1")
    walk.leave()
    later = Walking(book, clock=TEN)
    later.through("W5", "no other tool here", "1", "60")
    later.leave()

    before, after = sorted(book.runs(), key=lambda run: str((run.first() or {})["at"]))  # ids of a day have no order
    record = tomllib.loads(said("record", after.id, book=book.root)[1])
    (asked,) = record["in_question"]
    assert [[asked["line"]]] == [reading["in_question_at_lines"] for reading in record["reading"]]
    assert ("dropped", "2026-03-02", True) == (asked["why"], asked["on"], asked["heard"])
    departed = [each for row in record["deviation"] for each in row["departed"]]
    assert ["no other tool here"] == [each["reason"] for each in departed if each["kind"] == "unsuitable tool"]
    assert [("w5", "dropped", 1)] == [(row["tool"], row["why"], row["pulls"]) for row in record["in_question"]]
    first = tomllib.loads(said("record", before.id, book=book.root)[1])
    assert [False] == ["in_question_at_lines" in reading for reading in first["reading"]]


def test_a_kill_between_daybook_and_log_is_mended_at_the_next_start(book: Book) -> None:
    """The answer was stored; the book knows it as soon as any program opens it again."""
    program = subprocess.Popen(
        [sys.executable, "-c", KILLED, str(book.root)], stdin=subprocess.PIPE, stdout=subprocess.DEVNULL, text=True
    )
    program.communicate("W5\n1\n60\n* 7\n1\n", timeout=60)
    assert -signal.SIGKILL == program.returncode
    assert "tool_dropped" == events(book)[-1]["event"]
    assert [] == [line for line in log_of(book) if line["event"] == "tool_dropped"]

    (run,) = book.runs()
    assert (f"what happened to a tool in {run.id} is now in the book's log.",) == mend(book)
    (line,) = [line for line in log_of(book) if line["event"] == "tool_dropped"]
    assert (run.id, len(events(book)), "w5") == (line["run"], line["line"], line["tool"])
    assert "late" in line
    assert () == mend(book)
