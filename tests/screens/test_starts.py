"""Every command that opens a screen, called as people call it: without options, at a real terminal, and each question
before the first step answered there."""

from __future__ import annotations

import asyncio
import json
from pathlib import Path
from typing import Any

import pytest

from at_keyboard import named, steadily, walking
from at_terminal import BENCH, Person, terminal
from clampbook.book.book import Book
from clampbook.book.checks import checks
from clampbook.book.starting.frozen import plan_frozen
from covers import LOOKED_AT_LATER, TIGHTENED, cover
from museum import museum, own

SIZE = (80, 24)
STOP = "\x03"
TRIAL = """
[[stage]]
do = "inspect"
ask = "Covers on?"
trial = "skip"
"""
HEAD = "whinchat-pattern-c-head"


@pytest.fixture
def book(tmp_path: Path) -> Book:
    """The demo book, with a cover of which nothing is asked but who is there."""
    made = museum(tmp_path / "book")
    own(made.root, "cover", cover(TIGHTENED))
    twins = cover(TIGHTENED, TRIAL, top='repeat = ["port side", "starboard side"]')
    own(made.root, "twins", twins)
    return made


def first_lines(book: Book) -> list[dict[str, Any]]:
    """The first line of each run."""
    return [json.loads(run.lines()[0][0]) for run in book.runs()]


def stopped(person: Person) -> None:
    """The person leaves by Ctrl-C, which is a safe pause, and nothing unforeseen is told."""
    person.send(STOP)

    assert 130 == person.to_its_end()
    assert "foreseen" not in person.text


class TestWalk:
    """`clampbook walk PROCEDURE`."""

    def test_a_procedure_of_which_only_the_person_is_asked(self, book: Book) -> None:
        """The first pull's tool is asked for then."""
        with terminal(book.root, "walk", "cover", size=SIZE) as person:
            person.wait_for(r"Who are you\?")
            person.press("2\r")
            person.wait_for("torque tool")
            stopped(person)

        assert ["Tomas"] == [line["person"]["name"] for line in first_lines(book)]

    def test_a_name_that_the_book_does_not_have(self, book: Book) -> None:
        """It is typed out, and confirmed."""
        with terminal(book.root, "walk", "cover", size=SIZE) as person:
            person.wait_for(r"Who are you\?")
            person.press("Berta\r")
            person.wait_for("Berta is new here")
            person.press("1\r")
            person.wait_for("torque tool")
            stopped(person)

        assert ["Berta"] == [line["person"]["name"] for line in first_lines(book)]

    def test_every_question_there_can_be(self, book: Book) -> None:
        """Who, final or trial, and which of two joints."""
        with terminal(book.root, "walk", "twins", size=SIZE) as person:
            person.wait_for(r"Who are you\?")
            person.press("1\r")
            person.wait_for("trial")
            person.press("2\r")
            person.wait_for("port side")
            person.press("2\r")
            person.wait_for("torque tool")
            stopped(person)

        (run,) = book.runs()
        assert ("starboard side", True) == (plan_frozen(run).joint, plan_frozen(run).trial)

    def test_some_of_several_joints(self, book: Book) -> None:
        """Typed on a numeric pad, with a comma between; Enter alone would be all of them."""
        own(book.root, "covers", cover(TIGHTENED) + '\n[joints]\none = "Cover"\ncount = 3\n')
        with terminal(book.root, "walk", "covers", size=SIZE) as person:
            person.wait_for(r"Who are you\?")
            person.press("1\r")
            person.wait_for("Which joints today")
            for key in ("1", ",", "3", "\r"):
                person.press(key)
            person.wait_for("torque tool")
            stopped(person)

        (run,) = book.runs()
        assert ("Cover 2",) == plan_frozen(run).joints_left_out

    def test_at_40_by_15(self, book: Book) -> None:
        """The same questions on the smallest screen."""
        with terminal(book.root, "walk", "twins", size=(40, 15)) as person:
            for question, keys in ((r"Who are you\?", "1\r"), ("trial", "1\r"), ("port side", "1\r")):
                person.wait_for(question)
                person.press(keys)
            person.wait_for("torque tool")
            stopped(person)

    def test_the_head_of_the_demo(self, book: Book) -> None:
        """The cautions come first."""
        with terminal(book.root, "walk", HEAD, size=SIZE) as person:
            person.wait_for(r"Who are you\?")
            person.until("Read the cautions", most=3)
            stopped(person)

    def test_going_back_before_anything_began(self, book: Book) -> None:
        """Esc leaves the program, and there is no run."""
        with terminal(book.root, "walk", "cover", size=SIZE) as person:
            person.wait_for(r"Who are you\?")
            person.send("\x1b")

            assert 0 == person.to_its_end()
        assert () == book.runs()

    def test_a_procedure_of_which_a_run_is_open(self, book: Book) -> None:
        """That is read first."""
        left_open(book, "cover")
        with terminal(book.root, "walk", "cover", size=SIZE) as person:
            person.wait_for(r"Who are you\?")
            person.press("1\r")
            person.wait_for("is open, ")
            person.press("\r")
            person.wait_for("torque tool")
            stopped(person)

        assert 2 == len(book.runs())


def left_open(book: Book, procedure: str) -> None:
    """A run that was begun and left at its first question."""
    with terminal(book.root, "walk", procedure, "--as", "Ines", size=SIZE) as person:
        person.wait_for("torque tool|is open, ")
        stopped(person)


def finished(book: Book, procedure: str) -> str:
    """A run in which everything went well; its name."""

    async def walked() -> None:
        async with walking(book, procedure, by=named(book, "Ines")) as keyboard:
            await steadily(keyboard)

    asyncio.run(walked())
    (run,) = book.runs()
    return run.id


class TestResume:
    """`clampbook walk --resume`."""

    def test_the_only_open_run(self, book: Book) -> None:
        """Only who is there is asked."""
        left_open(book, "cover")
        with terminal(book.root, "walk", "--resume", size=SIZE) as person:
            person.wait_for(r"Who are you\?")
            person.press("2\r")
            person.wait_for("Resumed.*torque tool|torque tool.*Resumed")
            stopped(person)

        (run,) = book.runs()
        assert "tomas" == json.loads(run.lines()[0][-1])["by"]

    def test_one_of_several(self, book: Book) -> None:
        """Which one is asked first."""
        left_open(book, "cover")
        left_open(book, "cover")
        with terminal(book.root, "walk", "--resume", size=SIZE) as person:
            person.wait_for("Which run")
            person.press("2\r")
            person.wait_for(r"Who are you\?")
            person.press("1\r")
            person.wait_for("torque tool")
            stopped(person)

    def test_by_its_name(self, book: Book) -> None:
        """As the last words of the program before named it."""
        left_open(book, "cover")
        (run,) = book.runs()
        with terminal(book.root, "walk", "--resume", run.id, size=SIZE) as person:
            person.wait_for(r"Who are you\?")
            person.press("1\r")
            person.wait_for("torque tool")
            stopped(person)

    def test_the_run_that_a_follow_up_is_about(self, book: Book) -> None:
        """A finished flange is looked at again."""
        own(book.root, "flange", cover(TIGHTENED, LOOKED_AT_LATER))
        run = finished(book, "flange")
        with terminal(book.root, "walk", "--follow-up", "Look at it again", "--of", run, size=SIZE) as person:
            person.wait_for(r"Who are you\?")
            person.press("1\r")
            person.wait_for("Still even")
            stopped(person)


class TestTheBench:
    """`clampbook`, and `clampbook demo`."""

    def test_a_procedure_chosen_there(self, book: Book) -> None:
        """Every question of it is asked at the bench."""
        with terminal(book.root, size=SIZE) as person:
            person.wait_for(BENCH)
            person.procedure = "Valve cover"
            person.until("torque tool", most=4)
            stopped(person)

    def test_an_open_run_chosen_there(self, book: Book) -> None:
        """It stands first in the list; who is there is asked."""
        left_open(book, "cover")
        with terminal(book.root, size=SIZE) as person:
            person.wait_for(BENCH)
            person.press("1\r")
            person.wait_for(r"Who are you\?")
            person.press("2\r")
            person.wait_for("torque tool")
            stopped(person)

    def test_the_demo(self, tmp_path: Path) -> None:
        """Its book is made, and its bench is shown."""
        with terminal(None, "demo", "--into", str(tmp_path / "demo"), size=SIZE) as person:
            person.wait_for(BENCH)
            person.until("Read the cautions", most=4)
            stopped(person)

    def test_a_folder_without_a_book(self, tmp_path: Path) -> None:
        """No screen opens, and no folder is made; it is told how one is made."""
        with terminal(tmp_path / "none", size=SIZE) as person:
            person.wait_for("No book in")
            assert 2 == person.to_its_end()
        assert not (tmp_path / "none").exists()


class TestCheck:
    """`clampbook check TOOL`."""

    def test_who_is_there_is_asked(self, book: Book) -> None:
        """Several people have this book; nothing is written before one of them is named."""
        with terminal(book.root, "check", "W5", size=SIZE) as person:
            person.wait_for(r"Who are you\?")
            assert () == checks(book)
            person.press("3\r")
            person.wait_for("How warm")
            stopped(person)

        assert ["Maud"] == [json.loads(check.lines()[0][0])["person"]["name"] for check in checks(book)]

    def test_going_back_before_it_began(self, book: Book) -> None:
        """Esc leaves, and there is no check."""
        with terminal(book.root, "check", "W5", size=SIZE) as person:
            person.wait_for(r"Who are you\?")
            person.send("\x1b")

            assert 0 == person.to_its_end()
        assert () == checks(book)

    def test_one_that_is_open(self, book: Book) -> None:
        """The same check is gone on with, by somebody else."""
        for key in ("1\r", "2\r"):
            with terminal(book.root, "check", "W5", size=SIZE) as person:
                person.wait_for(r"Who are you\?")
                person.press(key)
                person.wait_for("How warm")
                stopped(person)

        assert 1 == len(checks(book))
