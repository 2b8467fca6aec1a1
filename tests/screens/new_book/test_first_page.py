"""The first page of somebody who has no book yet: a book made by keys alone, the demo, the way back."""

from __future__ import annotations

import errno
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path

import pytest

from at_keyboard import START, Keyboard, Time, played, shown
from clampbook import demo
from clampbook.book.book import Book
from clampbook.ledger import atomic
from clampbook.screens.app import Clampbook
from clampbook.screens.bench import Bench
from clampbook.screens.new_book.first_page import FirstPage
from clampbook.screens.new_book.making import MakingBook
from clampbook.screens.new_book.opening import first_page
from clampbook.screens.page import Page
from clampbook.screens.walk import WalkScreen

W2 = ("W2", "1", "2", "20", "100", "0.5", "2027-03-02")
W5 = ("W5", "2", "1", "4", "40", "0.1", "")


@pytest.fixture
def usual(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The data folder of somebody who has nothing yet."""
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    return tmp_path / "data" / "clampbook"


def demo_book() -> Book:
    """The demo book in its own folder."""
    return demo.make(demo.default_folder(), START.date())[0]


@asynccontextmanager
async def at_the_first_page(usual: Path, time: Time) -> AsyncIterator[tuple[Keyboard, list[Book]]]:
    """The program without a book, and the books that were opened from it."""
    opened: list[Book] = []
    app = Clampbook(lambda app: first_page(app, usual, demo_book, opened.append, time))
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        yield Keyboard(pilot, time), opened
        app.leave_run()


async def told(keyboard: Keyboard) -> str:
    """All that stands on the screen once nothing more comes, in one line."""
    await keyboard.drawn()
    await keyboard.app.workers.wait_for_complete()
    return " ".join((await shown(keyboard)).split())


async def answer(keyboard: Keyboard, *lines: str) -> None:
    """One answer after the other."""
    for line in lines:
        await keyboard.type(line)


@played
async def test_a_book_is_made_by_keys_alone_and_its_bench_opens(usual: Path, time: Time) -> None:
    """With two people and two tools, of which one was never calibrated."""
    async with at_the_first_page(usual, time) as (keyboard, opened):
        await answer(keyboard, "1", "", "Harbour museum", "Ines", "Jonas", "", "2", "2", *W2, *W5)
        asked = await told(keyboard)
        before = usual.exists()
        await answer(keyboard, "1")
        bench = await told(keyboard)
        keys = len(keyboard.pressed)

        assert isinstance(keyboard.app.screen, Bench)
    assert not before
    assert "tool 1 W2 · setting · 20 lbf·ft to 100 lbf·ft · calibration due 2027-03-02" in asked
    assert "Harbour museum What do you want to do?" in bench
    assert "1 2 tools: 1 ready, 1 check due" in bench
    assert f"New book: {usual}.".replace(" ", "") in bench.replace(" ", "")  # a long path is broken over lines
    assert ["Ines", "Jonas"] == [person.name for person in Book.open(usual).people()]
    assert [Book.open(usual)] == opened
    assert keys < 130


@played
async def test_what_was_answered_comes_back_with_esc_and_stays_with_enter(usual: Path, time: Time) -> None:
    """From the first tool back to the name, which is typed anew, and forward again."""
    async with at_the_first_page(usual, time) as (keyboard, _):
        await answer(keyboard, "1", "", "Harbuor museum", "Ines", "", "2", "")
        for _ in range(5):
            await keyboard.press("escape")
        field = await told(keyboard)
        await answer(keyboard, "Harbour museum", "", "")
        paper = await told(keyboard)
        await answer(keyboard, "", "", "", "1")

    assert "What is your workshop called?" in field
    assert "text Harbuor museum" in field
    assert "number 2" in paper
    book = Book.open(usual)
    assert ("Harbour museum", "letter", ["Ines"]) == (book.name, book.paper(), [each.name for each in book.people()])


@played
async def test_esc_at_the_first_question_leads_back_to_the_first_page(usual: Path, time: Time) -> None:
    """And nothing was made on the way."""
    async with at_the_first_page(usual, time) as (keyboard, _):
        await answer(keyboard, "1", "", "Harbour museum", "Ines")
        for _ in range(4):
            await keyboard.press("escape")

        assert isinstance(keyboard.app.screen, FirstPage)
    assert not usual.exists()


@played
async def test_a_sign_beside_a_number_makes_it_no_choice(usual: Path, time: Time) -> None:
    """“4%” was stored as the fourth unit; Enter alone at a list without a usual answer says what can be chosen."""
    async with at_the_first_page(usual, time) as (keyboard, _):
        await answer(keyboard, "1", "", "", "", "", "", "W2", "1", "4%")
        refused = await told(keyboard)
        await answer(keyboard, "")
        nothing = await told(keyboard)

    assert "W2: which unit is on its scale?" in refused
    assert "Choose 1 to 8." in refused
    assert "W2: which unit is on its scale?" in nothing
    assert "Choose 1 to 8." in nothing


@played
async def test_it_can_be_left_at_the_last_question(usual: Path, time: Time) -> None:
    """Nothing is saved."""
    async with at_the_first_page(usual, time) as (keyboard, _):
        await answer(keyboard, "1", "", "", "", "", "", "", "2")

        assert isinstance(keyboard.app.screen, FirstPage)
    assert not usual.exists()


@played
async def test_another_folder_is_typed_and_said_again_at_the_end(usual: Path, time: Time, tmp_path: Path) -> None:
    """With the command that opens it."""
    async with at_the_first_page(usual, time) as (keyboard, _):
        await answer(keyboard, "1", str(tmp_path / "boats"))
        await answer(keyboard, "", "", "", "", "", "1")
        bench = await told(keyboard)

    assert Book.open(tmp_path / "boats").name == "My workshop"
    assert f"clampbook --book {tmp_path / 'boats'}".replace(" ", "") in bench.replace(" ", "")
    assert not usual.exists()


@played
async def test_a_folder_with_something_in_it_is_refused_before_the_next_question(
    usual: Path, time: Time, tmp_path: Path
) -> None:
    """Somebody else's papers stay alone."""
    (tmp_path / "letter.txt").write_text("Dear Maud")
    async with at_the_first_page(usual, time) as (keyboard, _):
        await answer(keyboard, "1", str(tmp_path))
        asked = await told(keyboard)

    assert "is not empty: give an empty folder." in asked
    assert "Where should the book be?" in asked


@played
async def test_a_choice_that_is_needed_is_not_passed_by_enter(usual: Path, time: Time) -> None:
    """The kind of a tool, and the unit on its scale, are nobody's habit."""
    async with at_the_first_page(usual, time) as (keyboard, _):
        await answer(keyboard, "1", "", "", "", "", "2", "W2", "")
        kind = await told(keyboard)
        await answer(keyboard, "1", "")
        unit = await told(keyboard)

    assert "W2: which kind of torque tool?" in kind
    assert "W2: which unit is on its scale?" in unit


@played
async def test_a_full_disk_is_told_and_the_answers_stay(
    usual: Path, time: Time, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Once there is room, the same key makes the book."""
    whole = atomic.write

    def full(path: Path, data: bytes) -> None:
        del data
        from clampbook.ledger.refusals import refusal

        raise refusal(path, OSError(errno.ENOSPC, "No space left on device"), "be written")

    async with at_the_first_page(usual, time) as (keyboard, _):
        await answer(keyboard, "1", "", "Harbour museum", "Ines", "", "", "", "")
        monkeypatch.setattr(atomic, "write", full)
        await answer(keyboard, "1")
        refused = await told(keyboard)
        half_made = (usual / "book.toml").exists()
        monkeypatch.setattr(atomic, "write", whole)
        await answer(keyboard, "1")
        await told(keyboard)

        assert isinstance(keyboard.app.screen, Bench)
    assert "Disk full." in refused
    assert not half_made
    assert "Harbour museum" == Book.open(usual).name


@played
async def test_the_demo_opens_in_a_folder_of_its_own(usual: Path, time: Time) -> None:
    """A run of it is walked from its bench, and left to it."""
    async with at_the_first_page(usual, time) as (keyboard, opened):
        await answer(keyboard, "2")
        bench = await told(keyboard)
        await answer(keyboard, "2")
        await answer(keyboard, "1")
        walked = isinstance(keyboard.app.screen, WalkScreen)
        await answer(keyboard, "*", "0")
        back = keyboard.app.screen

        assert isinstance(back, Bench)
    assert walked
    assert "Demo book: its tools, people and values are invented." in bench
    assert ["clampbook-demo"] == [book.root.name for book in opened]
    assert not usual.exists()


@played
async def test_help_is_a_line_of_the_page_and_f1(usual: Path, time: Time) -> None:
    """Both show the same page, and Esc leads back."""
    async with at_the_first_page(usual, time) as (keyboard, _):
        pages = []
        for keys in (("3", "enter"), ("f1",)):
            await keyboard.press(*keys)
            assert isinstance(keyboard.app.screen, Page)
            pages.append(await told(keyboard))
            await keyboard.press("escape")
        assert isinstance(keyboard.app.screen, FirstPage)

    assert pages[0] == pages[1]
    assert "Make a book here" in pages[0]


@played
async def test_0_quits_and_nothing_lies_behind_it(usual: Path, time: Time) -> None:
    """Esc says so."""
    async with at_the_first_page(usual, time) as (keyboard, _):
        await keyboard.press("escape")
        behind = await told(keyboard)
        await answer(keyboard, "7")
        wrong = await told(keyboard)
        await answer(keyboard, "0")

        assert not keyboard.runs
    assert "Nothing to go back to. Type a number, or 0 to quit." in behind
    assert "Choose 1 to 3." in wrong
    assert not usual.exists()


@played
async def test_help_at_a_question_tells_what_enter_alone_means(usual: Path, time: Time) -> None:
    """And that nothing is saved before the end."""
    async with at_the_first_page(usual, time) as (keyboard, _):
        await answer(keyboard, "1")
        assert isinstance(keyboard.app.screen, MakingBook)
        await keyboard.press("f1")
        helped = await told(keyboard)

    assert "Enter alone: this folder" in helped
    assert "Nothing is saved before the last question" in helped


@played
async def test_a_calibration_that_is_overdue_is_taken_and_told(usual: Path, time: Time) -> None:
    """A day that is past may be right: the tool is there, and wants a calibration. The day itself is the last."""
    async with at_the_first_page(usual, time) as (keyboard, _):
        await answer(keyboard, "1", "", "Harbour museum", "", "", "", *W2[:6], "2026-03-01")
        overdue = await told(keyboard)
        await answer(keyboard, "W5", *W5[1:6], "2026-03-02")
        today = await told(keyboard)

    assert "This date is past. W2: calibration overdue since 2026-03-01." in overdue
    assert "calibration due 2026-03-01" in overdue
    assert "This date is past" not in today


@played
async def test_enter_is_in_the_line_of_keys_only_where_it_does_something(usual: Path, time: Time) -> None:
    """A list without an answer for Enter alone has it once a number stands in the field."""
    async with at_the_first_page(usual, time) as (keyboard, _):
        await answer(keyboard, "1", "", "Harbour museum", "", "", "", "W2")
        empty = await told(keyboard)
        await keyboard.type("1", enter=False)
        filled = await told(keyboard)

    assert "W2: which kind of torque tool?" in empty
    assert "Enter" not in empty.rpartition("choose")[2]
    assert "Enter go on" in filled


@pytest.mark.parametrize("typed", ["", "./boo"])
@played
async def test_help_never_says_both_of_enter_on_an_empty_field(usual: Path, time: Time, typed: str) -> None:
    """Enter alone takes the folder that is offered, also while another one is typed."""
    async with at_the_first_page(usual, time) as (keyboard, _):
        await answer(keyboard, "1")
        await keyboard.type(typed, enter=False)
        await keyboard.press("f1")
        page = keyboard.app.screen

    assert isinstance(page, Page)
    assert "Enter alone: this folder" in page.lines_shown
    assert not [line for line in page.lines_shown if "answers nothing" in line]


@pytest.mark.parametrize("line", ["4%", "-4", "4/"])
@played
async def test_a_line_that_is_no_unit_is_refused_whole(usual: Path, time: Time, line: str) -> None:
    """No part of it chooses the fourth."""
    async with at_the_first_page(usual, time) as (keyboard, _):
        await answer(keyboard, "1", "", "Harbour museum", "", "", line)
        seen = await told(keyboard)

    assert "Which torque unit do your manuals use?" in seen
    assert "Choose 1 to" in seen
