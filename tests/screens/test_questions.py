"""Questions of the screens themselves: what their help says, and what stands in the field."""

from __future__ import annotations

from pathlib import Path

import pytest

from at_keyboard import at_the_bench, played
from at_tools import at_the_tools, choose, made, rested
from clampbook.book.book import Book
from clampbook.screens.actions import Actions
from clampbook.screens.beginning import Beginning
from clampbook.screens.page import Page
from clampbook.screens.questions import Questions
from clampbook.screens.tools.dialogue import Dialogue
from covers import TIGHTENED, cover
from museum import own


@pytest.fixture
def book(tmp_path: Path) -> Book:
    """The demo book, with a cover of two screws."""
    book = made(tmp_path / "book")
    own(book.root, "cover", cover(TIGHTENED, screws="1-2"))
    return book


class TestHelp:
    """F1 says what is asked, which keys answer it, and what happens then."""

    @played
    async def test_before_a_run_begins(self, book: Book) -> None:
        """Who is there? Nothing is stored before that is known."""
        async with at_the_bench(book) as keyboard:
            await rested(keyboard)
            await choose(keyboard, "Valve cover")
            asked = keyboard.app.screen
            assert isinstance(asked, Beginning)
            question = asked.part.text
            await keyboard.press("f1")
            page = keyboard.app.screen
            assert isinstance(page, Page)
            lines = page.lines_shown
            await keyboard.press("escape")

            assert asked is keyboard.app.screen
        assert question in lines
        assert "1  Ines" in lines
        assert any(line.startswith("Type it, or choose a number, then press Enter.") for line in lines)
        assert any(line.startswith("Nothing is saved yet.") for line in lines)

    @played
    async def test_before_something_is_done_with_a_tool(self, book: Book) -> None:
        """Why is it withdrawn? Nothing is written before the last answer."""
        async with at_the_tools(book) as keyboard:
            await choose(keyboard, "W5")
            await choose(keyboard, "Take out")
            asked = keyboard.app.screen
            assert isinstance(asked, Dialogue)
            await keyboard.press("f1")
            page = keyboard.app.screen

            assert isinstance(page, Page)
            assert asked.part.text in page.lines_shown
            assert any(
                line.startswith("Nothing is saved before you answer the last question") for line in page.lines_shown
            )

    @played
    async def test_of_the_list_of_all_actions(self, book: Book) -> None:
        """Its field takes letters, so that only F1 is help."""
        async with at_the_bench(book) as keyboard:
            await rested(keyboard)
            await keyboard.press("f2")
            assert isinstance(keyboard.app.screen, Actions)
            await keyboard.press("f1")

            assert isinstance(keyboard.app.screen, Page)


class TestChoosing:
    """The arrows put a number into the field; it is not what a person typed."""

    @played
    async def test_a_digit_after_the_arrows_is_a_number_of_its_own(self, book: Book) -> None:
        """Walked to line 3, then 1 and 0 are typed: 10, not 310."""
        async with at_the_tools(book) as keyboard:
            shelf = keyboard.app.screen
            assert isinstance(shelf, Questions)
            await keyboard.press("down", "down", "down")
            walked = shelf.field
            await keyboard.press("1", "0")

            assert ("3", "10") == (walked, shelf.field)
