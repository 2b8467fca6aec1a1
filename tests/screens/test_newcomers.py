"""A name that the book does not know, typed on the full screen: asked about wherever a person is named."""

from __future__ import annotations

from pathlib import Path

import pytest

from at_keyboard import Keyboard, at_the_bench, daybook, named, played, walking
from at_terminal import terminal
from at_tools import at_the_tools, choose, rested
from clampbook.book.book import Book
from clampbook.ledger.lines import decode
from clampbook.run.gather.draft import Part
from clampbook.screens.questions import Questions
from covers import TIGHTENED, cover
from museum import museum, own

EVERYBODY = ["Ines", "Tomas", "Maud", "Okke"]
QUESTION = "Inez is new here. Did you mean Ines?"


@pytest.fixture
def book(tmp_path: Path) -> Book:
    """The demo book, with a cover of which nothing is asked but who is there."""
    made = museum(tmp_path / "book")
    own(made.root, "cover", cover(TIGHTENED))
    return made


def people(book: Book) -> list[str]:
    """Who is in the book."""
    return [person.name for person in book.people()]


def asked(keyboard: Keyboard) -> tuple[str, list[str]]:
    """The question at hand of a screen that asks, and its choices."""
    screen = keyboard.app.screen
    part = screen.part if isinstance(screen, Questions) else keyboard.walk.gathering.part
    assert part is not None
    return part.text, [f"{choice.key} {choice.text}" for choice in part.choices]


async def who_begins(keyboard: Keyboard) -> None:
    """The cover is chosen on the bench: who is there is asked."""
    await rested(keyboard)
    await choose(keyboard, "Valve cover")


@played
async def test_who_begins_is_asked_about(book: Book) -> None:
    """Yes means Ines, and she has the run."""
    async with at_the_bench(book) as keyboard:
        await who_begins(keyboard)
        await keyboard.type("Inez")
        question = asked(keyboard)
        await keyboard.press("1", "enter")
        await keyboard.seen_to()
        by = daybook(book)[0]["person"]["name"]

    assert (QUESTION, ["1 yes, Ines", "2 no, add Inez as a new person"]) == question
    assert "Ines" == by
    assert EVERYBODY == people(book)


@played
async def test_what_was_typed_ahead_answers_no_such_question(book: Book) -> None:
    """A quick hand that has typed the answer to the next question already finds the name asked about."""
    async with at_the_bench(book) as keyboard:
        await who_begins(keyboard)
        await keyboard.type("Inez", enter=False)
        for key in ("enter", "2", "enter"):
            keyboard._send(key)
        await keyboard.seen_to()
        question = asked(keyboard)[0]

    assert QUESTION == question
    assert EVERYBODY == people(book)


@played
async def test_back_leads_to_the_name_again(book: Book) -> None:
    """Esc leaves the question about Inez, not the beginning of the run; then the right name is typed."""
    async with at_the_bench(book) as keyboard:
        await who_begins(keyboard)
        await keyboard.type("Inez")
        await keyboard.press("escape")
        question = asked(keyboard)[0]
        await keyboard.type("Ines")
        await keyboard.seen_to()
        by = daybook(book)[0]["person"]["name"]

    assert question.startswith("Who are you?")
    assert "Ines" == by


@played
async def test_whoever_takes_over_is_asked_about(book: Book) -> None:
    """In the walk, at any question for a person: no brings Inez into the book."""
    async with walking(book, "cover", by=named(book, "Tomas")) as keyboard:
        await keyboard.press("*")
        await keyboard.type("10")
        await keyboard.type("Inez")
        question, before = asked(keyboard), people(book)
        await keyboard.press("2", "enter")
        hands = asked(keyboard)
        await keyboard.press("-", "enter")
        over = daybook(book)[-1]

    assert (QUESTION, EVERYBODY) == (question[0], before)
    assert ["1 Ines", "2 Tomas", "3 Maud", "4 Okke"] == hands[1][:4]  # nobody pulls for themselves
    assert ("handed_over", "Inez") == (over["event"], over["to"]["name"])
    assert [*EVERYBODY, "Inez"] == people(book)


@played
@pytest.mark.parametrize("size", [(80, 24), (40, 15)])
async def test_the_question_fits_on_the_screen(book: Book, size: tuple[int, int]) -> None:
    """Sentence, both choices and the way back, also on the smallest."""
    async with walking(book, "cover", by=named(book, "Tomas"), size=size) as keyboard:
        await keyboard.press("*")
        await keyboard.type("10")
        await keyboard.type("Inez")
        told = await rested(keyboard)
        part = keyboard.walk.gathering.part

    assert isinstance(part, Part) and "meant" == part.name
    for text in (QUESTION, "1 yes, Ines", "2 no, add Inez as a new person"):
        assert text in told


@played
async def test_whoever_withdraws_a_tool_is_asked_about(book: Book) -> None:
    """A question of the bench, signed for by name in the log."""
    async with at_the_tools(book) as keyboard:
        await choose(keyboard, "W2")
        await choose(keyboard, "Take out")
        await keyboard.press("1", "enter")
        await keyboard.type("Inez")
        question = asked(keyboard)[0]
        await keyboard.press("1", "enter")
        await rested(keyboard)

    assert QUESTION == question
    assert ["Ines"] == [
        line["name"] for line in map(decode, book.log_lines()) if line["event"] == "tool_out_of_service"
    ]
    assert EVERYBODY == people(book)


class TestOnTheCommandLine:
    """`--as` of a name that is new, before the screen."""

    def test_the_terminal_asks_before_the_screen_begins(self, book: Book) -> None:
        """Then the walk stands there, by the person meant."""
        with terminal(book.root, "walk", "cover", "--as", "Inez", size=(80, 24)) as person:
            person.wait_for("Did you mean Ines")
            person.send("1\r")
            person.wait_for("torque tool")
            person.send("\x03")
            assert 130 == person.to_its_end()

        assert "Ines" == daybook(book)[0]["person"]["name"]
        assert EVERYBODY == people(book)
