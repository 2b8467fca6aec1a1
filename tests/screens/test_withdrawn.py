"""Beginning a procedure that was withdrawn, by keys: who withdrew it and why is told, and a reason is asked."""

from __future__ import annotations

from pathlib import Path

import pytest

from at_keyboard import START, Keyboard, at_the_bench, daybook, named, played
from at_terminal import terminal
from at_tools import choose, rested
from clampbook.book.book import Book
from clampbook.book.releases import Given, give, queries, releasing, withdrawing
from clampbook.ledger.stamp import Stamp
from clampbook.procedure.model import Accepted
from clampbook.screens.beginning import Beginning
from clampbook.screens.bench import Bench
from clampbook.screens.questions import Questions
from covers import TIGHTENED, cover
from museum import museum, own

QUESTION = "Revision A is withdrawn. Maud withdrew it on 2 March 2026: issue 3 is out. Why start it anyway?"
USUAL = ("1 agreed with the person in charge", "2 work already started to this revision")


@pytest.fixture
def book(tmp_path: Path) -> Book:
    """The demo book, with a cover that Maud released and withdrew on the same day."""
    made = museum(tmp_path / "book")
    own(made.root, "cover", cover(TIGHTENED))
    maud, path = named(made, "Maud"), made.root / "procedures" / "cover.toml"
    answered = tuple(
        Accepted(query=f"{each.code} {each.key}".strip(), because="the sheet has it so")
        for each in queries(made, path)[0].queries
    )
    release = Given(person=maud, at=START, compared_with="Sheet 3, issue 2", accepted=answered)
    stamp = Stamp(START, "+01:00", maud.id)
    give(made, releasing(made, path, release), None, stamp)
    give(made, withdrawing(made, path, Given(person=maud, at=START, because="issue 3 is out")), None, stamp)
    return made


async def chosen(keyboard: Keyboard) -> None:
    """The cover is chosen on the bench, and Tomas says who he is."""
    await rested(keyboard)
    await choose(keyboard, "Valve cover")
    await keyboard.press("2", "enter")


@played
@pytest.mark.parametrize("size", [(80, 24), (40, 15)])
async def test_who_withdrew_it_and_why_stands_above_the_usual_reasons(book: Book, size: tuple[int, int]) -> None:
    """Also on the smallest screen; nothing has begun by then."""
    async with at_the_bench(book, size=size) as keyboard:
        await chosen(keyboard)
        told = await rested(keyboard)
        screen = keyboard.app.screen
        assert isinstance(screen, Beginning)

    assert QUESTION == screen.part.text
    assert QUESTION in told
    assert USUAL == tuple(f"{choice.key} {choice.text}" for choice in screen.part.choices)
    assert () == book.runs()


@played
async def test_a_usual_reason_is_one_key(book: Book) -> None:
    """It stands in the first line of the run."""
    async with at_the_bench(book) as keyboard:
        await chosen(keyboard)
        await keyboard.press("1", "enter")
        await keyboard.seen_to()
        first = daybook(book)[0]

    assert ("Tomas", "agreed with the person in charge") == (first["person"]["name"], first["despite"])


@played
async def test_any_other_reason_is_typed(book: Book) -> None:
    """As it is kept."""
    async with at_the_bench(book) as keyboard:
        await chosen(keyboard)
        await keyboard.type("issue 3 changes the paint only")
        await keyboard.seen_to()
        first = daybook(book)[0]

    assert "issue 3 changes the paint only" == first["despite"]


@played
@pytest.mark.parametrize("keys", [("enter",), ("+", "enter"), ("7", "enter")])
async def test_no_reason_is_none(book: Book, keys: tuple[str, ...]) -> None:
    """Enter alone, a key of the pad, a number that is not on the list: the question stays."""
    async with at_the_bench(book) as keyboard:
        await chosen(keyboard)
        await keyboard.press(*keys)
        screen = keyboard.app.screen
        assert isinstance(screen, Questions)
        asked, notice = screen.part.text, screen.notice

    assert QUESTION == asked
    assert notice != ""
    assert () == book.runs()


@played
async def test_esc_leaves_it(book: Book) -> None:
    """Back at the bench there is no run."""
    async with at_the_bench(book) as keyboard:
        await chosen(keyboard)
        await keyboard.press("escape")
        await rested(keyboard)
        assert isinstance(keyboard.app.screen, Bench)

    assert () == book.runs()


class TestAtATerminal:
    """The same as people call it."""

    def test_walking_asks_for_the_reason(self, book: Book) -> None:
        """After who is there, before the first step."""
        with terminal(book.root, "walk", "cover", size=(80, 24)) as person:
            person.wait_for(r"Who are you\?")
            person.press("2\r")
            person.wait_for("Why start it anyway")
            person.press("2\r")
            person.wait_for("torque tool")
            person.send("\x03")
            assert 130 == person.to_its_end()

        assert "work already started to this revision" == daybook(book)[0]["despite"]

    def test_said_on_the_command_line_it_is_not_asked(self, book: Book) -> None:
        """The first question is that of the walk."""
        said = ("--as", "Tomas", "--reason", "agreed by telephone")
        with terminal(book.root, "walk", "cover", *said, size=(80, 24)) as person:
            person.wait_for("torque tool")
            person.send("\x03")
            assert 130 == person.to_its_end()

        assert "agreed by telephone" == daybook(book)[0]["despite"]
