"""Whatever is longer than the screen can be read to its last line and chosen from to its last choice."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from textual.containers import VerticalScroll
from textual.widgets import Static

from archive.book_of_records import made as with_records
from at_checks import checking, pull_on
from at_keyboard import Keyboard, at_the_bench, named, onward, played, seen, walking
from at_tools import at_the_tools, choose, made, rested
from clampbook.book.book import Book
from clampbook.check import prompts as check
from clampbook.run import prompts as ask
from clampbook.screens.page import Page
from clampbook.screens.questions import Questions
from covers import TIGHTENED, cover
from museum import own

SIZES = [(40, 15), (80, 24)]
HEAD = "whinchat-pattern-c-head"
SHELLS = (
    "standard",
    "0.25 mm under",
    "0.50 mm under",
    "0.75 mm under",
    "1.00 mm under",
    "1.25 mm under",
    "chosen pair",
)
ASKED = f"""
[[ask]]
name = "Bearing shells"
answer = "choice"
choices = {list(SHELLS)}

[[ask]]
name = "Engine hours"
answer = "number"
unit = "h"
""".replace("'", '"')
CROWD = [f"Helper {number}" for number in range(1, 31)]
_SOME = 6  # every so-manieth choice is looked at


@pytest.fixture
def book(tmp_path: Path) -> Book:
    """The demo book; thirty people are in it."""
    book = made(tmp_path / "book")
    own(book.root, "cover", cover(TIGHTENED, top=ASKED))
    return book


def crowded(book: Book) -> Book:
    """The same with thirty people more."""
    for name in CROWD:
        book.person_named(name)
    return book


def in_one_line(keyboard: Keyboard) -> str:
    """What stands on the screen, without the bar at the side of what is longer."""
    return " ".join(" ".join(re.sub("[▁-█]$", "", row) for row in seen(keyboard).splitlines()).split())


def end_of(line: str) -> str:
    """The last words of a line, few enough to stand in one row of any screen."""
    return " ".join(line.removeprefix("# ").split()[-3:])


async def read_to_its_end(keyboard: Keyboard) -> None:
    """By its last key, and again from the first line page by page."""
    page = keyboard.app.screen
    assert isinstance(page, Page), page
    last = end_of(next(line for line in reversed(page.lines_shown) if line.strip()))
    await keyboard.drawn()
    for keys in (["end"], ["home", *["pagedown"] * (1 + len(page.lines_shown) // 4)]):
        for key in keys:
            await keyboard.pilot.press(key)
        await keyboard.drawn()
        assert last in in_one_line(keyboard), (keys[0], last, seen(keyboard))
    assert "back" in in_one_line(keyboard) or "go on" in in_one_line(keyboard)


async def chosen_to_its_end(keyboard: Keyboard) -> None:
    """By the arrows: the choice in the field stands on the screen, too, up to the last one."""
    screen = keyboard.app.screen
    assert isinstance(screen, Questions), screen
    last = len(screen.part.choices)
    for number, choice in enumerate(screen.part.choices, 1):
        await keyboard.pilot.press("down")
        if number % _SOME and number != last:
            continue
        await keyboard.drawn()
        stands = in_one_line(keyboard)
        assert choice.key == screen.field
        assert f"{choice.key} {choice.text.split()[0]}" in stands, (choice, seen(keyboard))
        assert f"{choice.text.split()[-1]}" in stands, (choice, seen(keyboard))


@pytest.mark.parametrize("size", SIZES)
class TestPagesOfAWalk:
    """Everything that is read while a run is walked."""

    @pytest.mark.parametrize("until", [ask.StartSheet, ask.Tighten, ask.Decide])
    @played
    async def test_help(self, book: Book, size: tuple[int, int], until: type) -> None:
        """With the keys, which stand far down."""
        async with walking(book, HEAD, by=named(book, "Ines"), size=size) as keyboard:
            if until is ask.Decide:
                await onward(keyboard, ask.Tighten)
                await keyboard.press("-")
            else:
                await onward(keyboard, until)
            await keyboard.press("f1")
            await read_to_its_end(keyboard)

    @played
    async def test_the_keys_can_be_read(self, book: Book, size: tuple[int, int]) -> None:
        """Page by page all of them come by."""
        async with walking(book, HEAD, by=named(book, "Ines"), size=size) as keyboard:
            await onward(keyboard, ask.Tighten)
            await keyboard.press("f1")
            page = keyboard.app.screen
            assert isinstance(page, Page)
            await keyboard.drawn()
            read = in_one_line(keyboard)
            for _ in range(30):
                await keyboard.pilot.press("pagedown")
                await keyboard.drawn()
                read += " " + in_one_line(keyboard)

        assert [] == [line for line in page.lines_shown if end_of(line) not in read], read

    @pytest.mark.parametrize("action", ["view the procedure", "the map in words"])
    @played
    async def test_from_the_list_of_all_actions(self, book: Book, size: tuple[int, int], action: str) -> None:
        """The procedure, and the map for whoever hears it."""
        async with walking(book, HEAD, by=named(book, "Ines"), size=size) as keyboard:
            await onward(keyboard, ask.Tighten)
            await keyboard.press("f2", *action, "enter")
            await keyboard.drawn()
            await read_to_its_end(keyboard)

    @played
    async def test_the_last_three_positions(self, book: Book, size: tuple[int, int]) -> None:
        """A short one."""
        async with walking(book, HEAD, by=named(book, "Ines"), size=size) as keyboard:
            await onward(keyboard, ask.Tighten, times=5)
            await keyboard.press("*", "1", "3", "enter")
            await read_to_its_end(keyboard)

    @played
    async def test_what_is_read_before_it_begins(self, book: Book, size: tuple[int, int]) -> None:
        """A dozen other runs are open."""
        async with walking(book, HEAD, by=named(book, "Ines"), size=size) as keyboard:
            told = [
                f"Run {number} of this procedure is open already, perhaps on the same thing." for number in range(12)
            ]
            keyboard.app.push_screen(Page("Before you begin", told))
            await keyboard.seen_to()
            await read_to_its_end(keyboard)


@pytest.mark.parametrize("size", SIZES)
class TestPagesElsewhere:
    """What is read at the bench, of tools, of checks and of records."""

    @played
    async def test_help_at_the_bench(self, book: Book, size: tuple[int, int]) -> None:
        """F1 on the first screen."""
        async with at_the_bench(book, size=size) as keyboard:
            await rested(keyboard)
            await keyboard.press("f1")
            await read_to_its_end(keyboard)

    @played
    async def test_help_at_the_tools(self, book: Book, size: tuple[int, int]) -> None:
        """Of the list, and of one tool."""
        async with at_the_tools(book, size=size) as keyboard:
            await keyboard.press("f1")
            await read_to_its_end(keyboard)
            await keyboard.press("escape")
            await choose(keyboard, "W5")
            await keyboard.press("f1")
            await read_to_its_end(keyboard)

    @played
    async def test_labels(self, book: Book, size: tuple[int, int]) -> None:
        """One line a tool."""
        async with at_the_tools(book, size=size) as keyboard:
            await keyboard.press("f2", *"all labels", "enter")
            await keyboard.drawn()
            await read_to_its_end(keyboard)

    @played
    async def test_a_tool_with_all_its_facts(self, book: Book, size: tuple[int, int]) -> None:
        """They stand below its choices where there is no room for both."""
        async with at_the_tools(book, size=size) as keyboard:
            await choose(keyboard, "W5")
            await rested(keyboard)
            lines = str(keyboard.app.screen.query_one("#choices", Static).render()).splitlines()
            for _ in range(10):
                await keyboard.pilot.press("pagedown")
            await keyboard.drawn()

            assert end_of(next(line for line in reversed(lines) if line.strip())) in in_one_line(keyboard)

    @played
    async def test_figures_and_help_of_a_check(self, book: Book, size: tuple[int, int]) -> None:
        """After a few pulls."""
        async with checking(book, "w5", size=size) as keyboard:
            await pull_on(keyboard, check.Pull, times=9)
            await keyboard.press("f1")
            await read_to_its_end(keyboard)
            await keyboard.press("escape", "*", "4", "enter")
            await keyboard.drawn()
            await read_to_its_end(keyboard)

    @played
    async def test_a_record(self, tmp_path: Path, size: tuple[int, int]) -> None:
        """All of it, as the file has it."""
        async with at_the_bench(with_records(tmp_path / "records"), size=size) as keyboard:
            await rested(keyboard)
            await choose(keyboard, "4 closed runs")
            await rested(keyboard)
            await keyboard.press("1", "enter")
            await rested(keyboard)
            await keyboard.press("1", "enter")
            await keyboard.drawn()
            page = keyboard.app.screen
            assert isinstance(page, Page)
            await keyboard.pilot.press("end")
            await keyboard.drawn()

            assert end_of(next(line for line in reversed(page.lines_shown) if line.strip())) in in_one_line(keyboard)


@pytest.mark.parametrize("size", SIZES)
class TestLists:
    """Every choice of every list."""

    @played
    async def test_of_the_bench(self, book: Book, size: tuple[int, int]) -> None:
        """Down to the way out."""
        async with at_the_bench(book, size=size) as keyboard:
            await rested(keyboard)
            await chosen_to_its_end(keyboard)

    @played
    async def test_of_people(self, book: Book, size: tuple[int, int]) -> None:
        """Who is there, among thirty-four."""
        async with at_the_bench(crowded(book), size=size) as keyboard:
            await rested(keyboard)
            await choose(keyboard, "Valve cover")
            await chosen_to_its_end(keyboard)

    @pytest.mark.parametrize("line", ["7 tools", "People and keys", "Procedures: release"])
    @played
    async def test_of_the_book(self, book: Book, size: tuple[int, int], line: str) -> None:
        """What the bench opens."""
        async with at_the_bench(crowded(book), size=size) as keyboard:
            await rested(keyboard)
            await choose(keyboard, line)
            await chosen_to_its_end(keyboard)

    @played
    async def test_of_a_tool(self, book: Book, size: tuple[int, int]) -> None:
        """What can be done with it."""
        async with at_the_tools(book, size=size) as keyboard:
            await choose(keyboard, "W5")
            await rested(keyboard)
            await chosen_to_its_end(keyboard)

    @played
    async def test_of_all_actions(self, book: Book, size: tuple[int, int]) -> None:
        """In a walk they are the most."""
        async with walking(book, HEAD, by=named(book, "Ines"), size=size) as keyboard:
            await onward(keyboard, ask.Tighten)
            await keyboard.press("f2")
            await chosen_to_its_end(keyboard)

    @played
    async def test_of_records(self, tmp_path: Path, size: tuple[int, int]) -> None:
        """And of what can be done with one."""
        async with at_the_bench(with_records(tmp_path / "records"), size=size) as keyboard:
            await rested(keyboard)
            await choose(keyboard, "4 closed runs")
            await rested(keyboard)
            await chosen_to_its_end(keyboard)
            await keyboard.press("enter")
            await rested(keyboard)
            await chosen_to_its_end(keyboard)


@pytest.mark.parametrize("size", SIZES)
class TestChoicesOfAWalk:
    """What can be chosen at a question of the work itself."""

    @played
    async def test_at_a_start_question_every_choice_is_shown(self, book: Book, size: tuple[int, int]) -> None:
        """Which bearing shells? All of them stand there with their numbers, without any key."""
        async with walking(book, "cover", by=named(book, "Ines"), size=size) as keyboard:
            await onward(keyboard, ask.StartSheet)
            await keyboard.drawn()
            stands = in_one_line(keyboard)

        missing = [shell for number, shell in enumerate(SHELLS, 1) if f"{number} {shell}" not in stands]
        assert [] == missing, stands

    @played
    async def test_a_list_of_tools(self, book: Book, size: tuple[int, int]) -> None:
        """Those that cannot be used stand last."""
        async with walking(book, HEAD, by=named(book, "Ines"), size=size) as keyboard:
            await onward(keyboard, ask.TakeTool)
            assert await _last_comes_by(keyboard)

    @played
    async def test_a_decision(self, book: Book, size: tuple[int, int]) -> None:
        """To hold and to give up stand last."""
        async with walking(book, HEAD, by=named(book, "Ines"), size=size) as keyboard:
            await onward(keyboard, ask.Tighten)
            await keyboard.press("-")
            await keyboard.seen_to()
            assert await _last_comes_by(keyboard)

    @played
    async def test_all_else(self, book: Book, size: tuple[int, int]) -> None:
        """Its last line is the note."""
        async with walking(book, HEAD, by=named(book, "Ines"), size=size) as keyboard:
            await onward(keyboard, ask.Tighten)
            await keyboard.press("*")
            assert await _last_comes_by(keyboard)

    @played
    async def test_people(self, book: Book, size: tuple[int, int]) -> None:
        """To whom is it handed over?"""
        async with walking(crowded(book), HEAD, by=named(book, "Ines"), size=size) as keyboard:
            await onward(keyboard, ask.Tighten)
            await keyboard.press("*", "1", "0", "enter")
            assert await _last_comes_by(keyboard)


async def _last_comes_by(keyboard: Keyboard) -> bool:
    """Whether the last choice stands on the screen after it was scrolled as far as it goes, and the keys with it."""
    choices = keyboard.walk.shown.choices
    assert choices
    for _ in range(8):
        await keyboard.pilot.press("pagedown")
    await keyboard.drawn()
    listed = keyboard.app.screen.query_one("#listed", VerticalScroll)
    assert listed.region.bottom <= keyboard.app.screen.size.height
    stands = in_one_line(keyboard)
    return f"{choices[-1].key} {choices[-1].text.split()[0]}" in stands and end_of(choices[-1].text) in stands
