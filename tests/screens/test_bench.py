"""The bench: what stands open, what can be begun, and how one comes back to it."""

from __future__ import annotations

import sys
from datetime import UTC, date, datetime, time, timedelta
from threading import current_thread, main_thread

import pytest

from at_keyboard import START, Keyboard, at_the_bench, played, shown, steadily
from clampbook import demo
from clampbook.book import toolbox
from clampbook.book.book import Book
from clampbook.book.due.listing import Span, of_stock_and_procedures
from clampbook.run import prompts as ask
from clampbook.screens import bench_lists
from clampbook.screens.beginning import Beginning
from clampbook.screens.bench import Bench
from clampbook.screens.bench_lists import Tools
from clampbook.screens.change_first import ChangeFirst
from clampbook.screens.page import Page
from clampbook.screens.records import Records
from clampbook.screens.tools.shelf import ToolShelf
from clampbook.screens.walk import WalkScreen
from covers import LOOKED_AT, LOOKED_AT_LATER, TIGHTENED, cover
from museum import own

PATIENCE = 100  # looks at the screen, until what a worker found is painted
COVER = cover(TIGHTENED, LOOKED_AT, LOOKED_AT_LATER, screws="1-2")


@pytest.fixture
def book(book: Book) -> Book:
    """The demo book with a valve cover that is looked at later."""
    own(book.root, "cover", COVER)
    return book


READ_HERE: list[str] = []  # a folder; then all in it that the screen's own thread opened or listed


def _heard(event: str, about: tuple[object, ...]) -> None:
    if READ_HERE and event in ("open", "os.listdir", "os.scandir") and current_thread() is main_thread():
        path = str(about[0])
        READ_HERE.extend([path] if path.startswith(READ_HERE[0]) else [])


sys.addaudithook(_heard)


async def rested(keyboard: Keyboard) -> Bench:
    """The bench, once it has looked closer."""
    await keyboard.app.workers.wait_for_complete()
    await keyboard.seen_to()
    assert isinstance(keyboard.app.screen, Bench)
    return keyboard.app.screen


class TestBeginning:
    """Before a run exists nothing is stored."""

    @played
    async def test_esc_goes_back_and_no_run_was_opened(self, book: Book) -> None:
        """Somebody only wanted to look."""
        async with at_the_bench(book) as keyboard:
            await keyboard.press("1", "enter")
            assert isinstance(keyboard.app.screen, Beginning)
            await keyboard.press("escape")

            assert isinstance(keyboard.app.screen, Bench)
        assert () == book.runs()

    @played
    async def test_somebody_new_types_a_name(self, book: Book) -> None:
        """And is in the book from then on, once that is said."""
        async with at_the_bench(book) as keyboard:
            await keyboard.press("1", "enter")
            await keyboard.type("Jonna")
            await keyboard.press("1", "enter")

            assert isinstance(keyboard.app.screen, WalkScreen)
        assert "Jonna" in [person.name for person in book.people()]

    @played
    async def test_an_empty_enter_is_nobody(self, book: Book) -> None:
        """The question stays, and says what can be typed."""
        async with at_the_bench(book) as keyboard:
            await keyboard.press("1", "enter", "enter")

            assert isinstance(keyboard.app.screen, Beginning)
            assert "Nothing typed" in keyboard.app.screen.notice

    @played
    async def test_a_procedure_with_errors_is_told_and_the_bench_comes_back(self, book: Book) -> None:
        """In the words of its error, on a screen that leads into its text."""
        own(book.root, "cover", COVER.replace('to = "30 N·m"', 'to = "30"'))
        async with at_the_bench(book) as keyboard:
            await keyboard.press("1", "enter")

            assert isinstance(keyboard.app.screen, ChangeFirst)
            assert "line 13, E118: " in await shown(keyboard)
            await keyboard.press("escape")
            assert isinstance(keyboard.app.screen, Bench)

    @played
    async def test_a_run_that_somebody_else_walks_is_told(self, book: Book) -> None:
        """One writer at a time: who it is, and the bench stays."""
        async with at_the_bench(book) as first:
            await first.press("1", "enter", "1", "enter")
            async with at_the_bench(book) as second:
                await second.press("1", "enter", "2", "enter")

                assert isinstance(second.app.screen, Beginning)
                assert "open elsewhere (process" in second.app.screen.notice

    @played
    async def test_a_run_that_somebody_has_open_says_so(self, book: Book) -> None:
        """Who and since when; once it is left it does not."""
        async with at_the_bench(book) as first:
            await first.press("1", "enter", "1", "enter")
            async with at_the_bench(book) as second:
                there = (await rested(second)).standing.runs[0]
            await first.press("*", "0", "enter")
            left = (await rested(first)).standing.runs[0]

        assert "open elsewhere: Ines, since " in there.text
        assert ("", True) == (left.in_hand, "paused" in left.text)


class TestComingBack:
    """Open runs with who, where and since when; and what is over."""

    @played
    async def test_a_run_held_for_inspection_says_so(self, book: Book) -> None:
        """Nobody is there to look: it stands with its reason and waits for another person."""
        async with at_the_bench(book) as keyboard:
            await keyboard.press("1", "enter", "1", "enter")
            await steadily(keyboard, until=ask.Inspect)
            await keyboard.press("*", "1", "1", "enter", "2", "enter")
            await keyboard.press("enter")
            (run,) = (await rested(keyboard)).standing.runs

        assert "waiting for inspection · on hold: waiting for someone" in run.where

    @played
    async def test_after_a_break_the_last_positions_are_looked_at_first(self, book: Book) -> None:
        """The next day, by another person: the prompts of the core, and then the question at hand."""
        async with at_the_bench(book) as keyboard:
            await keyboard.press("1", "enter", "1", "enter")
            await steadily(keyboard, until=ask.Tighten)
            await keyboard.slow_pull()
            await keyboard.press("+")
            await keyboard.press("*", "0", "enter")
            await rested(keyboard)
            await keyboard.slow_pull(20 * 3600)
            await keyboard.press("1", "enter", "2", "enter")
            first = keyboard.prompt

        assert isinstance(first, ask.Inspect | ask.StepState)

    @played
    async def test_a_closed_run_stands_in_the_records_and_its_follow_up_is_due(self, book: Book) -> None:
        """The record can be read, and the work that follows can be begun."""
        async with at_the_bench(book) as keyboard:
            await keyboard.press("1", "enter", "1", "enter")
            await steadily(keyboard)
            await keyboard.press("enter")
            bench = await rested(keyboard)
            rows = [(section, text) for section, text, _ in bench.standing.rows]
            number = next(n for n, (section, _) in enumerate(rows, 1) if section == "Records")
            await keyboard.press(*str(number), "enter")
            assert isinstance(keyboard.app.screen, Records)
            await keyboard.app.workers.wait_for_complete()
            await keyboard.press("1", "enter", "1", "enter")
            assert isinstance(keyboard.app.screen, Page)
            assert "record = 2" in keyboard.app.screen.lines_shown
            await keyboard.press("escape", "escape", "escape")
            place, text = next((n, text) for n, (_, text) in enumerate(rows, 1) if "Look at it again" in text)
            await keyboard.press(*str(place), "enter", "1", "enter")

            assert ("Due", "due 2026-03-16") == (rows[place - 1][0], text.rpartition(" · ")[2])
            assert isinstance(keyboard.prompt, ask.Inspect)

    @played
    async def test_up_down_and_enter_choose_too(self, book: Book) -> None:
        """The list is walked through by its arrows, and the chosen line stands in the field."""
        async with at_the_bench(book) as keyboard:
            await keyboard.press("down", "down", "up", "enter")

            assert isinstance(keyboard.app.screen, Beginning)
            assert "Valve cover" in keyboard.app.screen.heading()

    @played
    async def test_nothing_of_the_toolkit_shows(self, book: Book) -> None:
        """All actions hold our commands alone, and the only looks are ours."""
        async with at_the_bench(book) as keyboard:
            await keyboard.press("f2")
            await keyboard.pilot.pause(0.05)
            stands = (await shown(keyboard)).lower()

            assert [] == [
                word for word in ("palette", "theme", "screenshot", "keys panel", "maximize") if word in stands
            ]
            assert {"dark shop", "bright shop"} == set(keyboard.app.available_themes)

    @played
    async def test_f4_changes_the_look_and_back(self, book: Book) -> None:
        """Dark on light against the glare, light on dark in the evening."""
        async with at_the_bench(book) as keyboard:
            looks = []
            for _ in range(3):
                looks.append(keyboard.app.theme)
                await keyboard.press("f4")

        assert ["dark shop", "bright shop", "dark shop"] == looks


class TestAtOnce:
    """A person who comes back waits for no file, however large the book is."""

    @played
    async def test_the_book_is_not_read_while_the_bench_comes_back(self, book: Book) -> None:
        """Not on the screen's own thread: the bench is painted as it was, then as it is."""
        async with at_the_bench(book) as keyboard:
            bench = await rested(keyboard)
            shelf = next(
                number for number, (_, _, meant) in enumerate(bench.standing.rows, 1) if isinstance(meant, Tools)
            )
            await keyboard.type(str(shelf))
            assert isinstance(keyboard.app.screen, ToolShelf)
            own(book.root, "flange", COVER.replace("Valve cover", "Flange"))
            READ_HERE.clear()
            READ_HERE.append(str(book.root))
            await keyboard.press("escape")
            for _ in range(PATIENCE):
                if "Flange" in await shown(keyboard):
                    break
                await rested(keyboard)
            read = READ_HERE[1:]
            READ_HERE.clear()

            assert [] == read
            assert "Flange" in await shown(keyboard)


class TestReadingTheBook:
    """What the bench lists is read from the heads and ends of files."""

    def test_procedures_are_listed_by_title_and_revision(self, book: Book) -> None:
        """As they stand at the head of each file; a file that says nothing there goes by its name."""
        own(book.root, "bare", "format = 2\n")

        told = {sheet.path.stem: sheet.text for sheet in bench_lists.sheets(book)}

        assert ("bare", "Valve cover · revision A") == (told["bare"], told["cover"])
        assert told[demo.HEAD].endswith("revision B, draft")

    @pytest.mark.parametrize(
        ("today", "sentence"),
        [
            (date(2026, 1, 1), None),
            (date(2026, 1, 20), "W7: calibration due 2026-02-01"),
            (date(2026, 2, 2), "W7: calibration overdue since 2026-02-01"),
        ],
    )
    def test_tools_whose_calibration_runs_out_are_due(self, book: Book, today: date, sentence: str | None) -> None:
        """From thirty days before on; and nothing says the same a second time below the tools."""
        stock = toolbox.stock(book)
        span = Span(datetime.combine(today, time(12), UTC))

        due = [each.text for each in bench_lists.due_lines(of_stock_and_procedures(stock, {}, span))]

        assert ([] if sentence is None else [sentence], ()) == (due, bench_lists.looked_over(stock, today)[1])

    def test_nothing_is_to_follow_in_a_new_book(self, book: Book) -> None:
        """No run is closed yet."""
        assert ((), ()) == bench_lists.follow_ups(book, Span(START + timedelta(days=400)))
