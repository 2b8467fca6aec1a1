"""A tool check by the keys of a numeric pad, from its first question to its record."""

from __future__ import annotations

from at_checks import checking, daybook, happened, on_it, pull_on
from at_keyboard import at_the_bench, played, shown
from at_tools import at_the_tools, choose, rested
from clampbook.book.book import Book
from clampbook.book.checks import checks
from clampbook.check import prompts as ask
from clampbook.screens.page import Page

PAD = frozenset("0123456789.,+-*/") | {"enter", "backspace", "escape"}


class TestAWholeCheck:
    """Nothing goes wrong."""

    @played
    async def test_every_answer_is_a_line_of_its_own(self, book: Book) -> None:
        """An indicating tool: temperature, both zeroes, one load, fifteen pulls, left alone, closed."""
        async with checking(book, "w5") as keyboard:
            await pull_on(keyboard, ask.Ended)

            assert set(keyboard.pressed) <= PAD
        expected = ["opened", "temperature_read", "zeroed", "zeroed", "exercised", *["pulled"] * 15]
        assert [*expected, "left_alone", "closed"] == happened(book)

    @played
    async def test_a_setting_tool_has_its_scale_typed_back_at_each_point(self, book: Book) -> None:
        """The number, then the unit by its place in the list."""
        async with checking(book, "w2") as keyboard:
            await pull_on(keyboard, ask.Ended)

        assert (3, 15) == tuple(happened(book).count(name) for name in ("tool_set", "pulled"))

    @played
    async def test_the_record_stands_at_its_end(self, book: Book) -> None:
        """And the screen says where."""
        async with checking(book, "w5", readings=1) as keyboard:
            await pull_on(keyboard, ask.Ended)
            await keyboard.app.workers.wait_for_complete()
            await keyboard.seen_to()

            assert "Record:" in " ".join((await shown(keyboard)).split())
        (check,) = checks(book)
        assert (check.path / "record.toml").exists()


class TestPulls:
    """What a key means while pulls are made."""

    @played
    async def test_minus_is_a_bad_pull_of_which_no_reading_counts(self, book: Book) -> None:
        """The same reading is asked for once more."""
        async with checking(book, "w5") as keyboard:
            await pull_on(keyboard, ask.Pull, times=2)
            await keyboard.press("-", "enter")
            prompt = on_it(keyboard).gathering.prompt

        assert isinstance(prompt, ask.Pull)
        assert (2, "voided", None) == (prompt.where.reading, happened(book)[-2], daybook(book)[-2]["of"])

    @played
    async def test_backspace_corrects_the_last_reading(self, book: Book) -> None:
        """What was shown, and how that is known; the first value stays in the daybook."""
        async with checking(book, "w5") as keyboard:
            await pull_on(keyboard, ask.Pull, times=2)
            await keyboard.press("backspace")
            await keyboard.type("27.3")
            await keyboard.press("1", "enter")

        line = daybook(book)[-2]
        assert ("corrected", "27.3", "the tool still shows it") == (line["event"], line["typed"], line["known"])

    @played
    async def test_a_reading_far_off_is_asked_again_with_its_unit(self, book: Book) -> None:
        """By number from a list, so that a numeric pad is enough; nothing is offered that would fit."""
        async with checking(book, "w5") as keyboard:
            await pull_on(keyboard, ask.Pull)
            await keyboard.type("20")
            assert "with its unit" in await shown(keyboard)
            await keyboard.type("20")
            await keyboard.press("2", "enter")

        line = daybook(book)[-2]
        assert ("pulled", "20 lbf·ft", "lbf·ft") == (line["event"], line["typed"], line["unit"])

    @played
    async def test_an_empty_enter_answers_nothing(self, book: Book) -> None:
        """It says so."""
        async with checking(book, "w5") as keyboard:
            await pull_on(keyboard, ask.Pull)
            await keyboard.press("enter")

            assert "Nothing typed" in await shown(keyboard)
        assert "pulled" not in happened(book)

    @played
    async def test_what_was_refused_goes_when_another_question_comes(self, book: Book) -> None:
        """An empty answer is said to be none, until something else is asked."""
        async with checking(book, "w5") as keyboard:
            await pull_on(keyboard, ask.Pull)
            await keyboard.press("enter")
            assert "Nothing typed" in await shown(keyboard)
            await keyboard.press("*")

            assert on_it(keyboard).gathering.part is not None
            assert "Nothing typed" not in await shown(keyboard)

    @played
    async def test_what_was_refused_goes_with_its_part_of_an_answer(self, book: Book) -> None:
        """The value of a correction was no number; once it is one, how it is known is asked without that."""
        async with checking(book, "w5") as keyboard:
            await pull_on(keyboard, ask.Pull, times=2)
            await keyboard.press("backspace")
            await keyboard.press("enter")
            refused = on_it(keyboard).gathering.notice
            await keyboard.type("27.3")

            assert refused is not None and refused.refused
            assert on_it(keyboard).gathering.notice is None

    @played
    async def test_a_tool_that_types_is_taken_at_its_word(self, book: Book) -> None:
        """Its line is the reading."""
        async with checking(book, "w5") as keyboard:
            await pull_on(keyboard, ask.Pull)
            await keyboard.from_a_tool("27.20")

        assert "27.20" == daybook(book)[-2]["typed"]

    @played
    async def test_a_tool_s_line_that_nobody_asked_for_is_no_answer(self, book: Book) -> None:
        """At the zero it stores nothing."""
        async with checking(book, "w5") as keyboard:
            await pull_on(keyboard, ask.Zero)
            await keyboard.from_a_tool("27.20")

            assert "came in unasked" in " ".join((await shown(keyboard)).split())
        assert "zeroed" not in happened(book)


class TestAdjusting:
    """As found, then as left."""

    @played
    async def test_after_an_adjustment_everything_is_pulled_once_more(self, book: Book) -> None:
        """What was adjusted is chosen by number."""
        async with checking(book, "w5", readings=1) as keyboard:
            await pull_on(keyboard, ask.Adjust)
            await keyboard.press("2", "enter", "1", "enter")
            await pull_on(keyboard, ask.Ended)

        assert (1, 6) == tuple(happened(book).count(name) for name in ("adjusted", "pulled"))
        assert "passed" == daybook(book)[-1]["as_left"]

    @played
    async def test_nothing_typed_ahead_says_whether_it_was_adjusted(self, book: Book) -> None:
        """The number alone is no answer, and Enter alone neither."""
        async with checking(book, "w5", readings=1) as keyboard:
            await pull_on(keyboard, ask.Adjust)
            await keyboard.press("1")
            assert "left_alone" not in happened(book)
            await keyboard.press("escape")
            await keyboard.press("enter")

        assert "left_alone" not in happened(book)

    @played
    async def test_a_tool_found_outside_is_withdrawn_at_once(self, book: Book) -> None:
        """Before anybody closed the check."""
        async with checking(book, "w5", readings=1) as keyboard:
            await pull_on(keyboard, ask.Adjust, off="1.08")

            assert "now out of service" in " ".join((await shown(keyboard)).split())
        assert [] != [line for line in book.log_lines() if b"tool_withdrawn" in line]


class TestLeaving:
    """However it is left, everything answered is stored."""

    @played
    async def test_star_zero_pauses_and_the_program_ends(self, book: Book) -> None:
        """The check can be taken up again."""
        async with checking(book, "w5") as keyboard:
            await pull_on(keyboard, ask.Pull, times=3)
            await keyboard.press("*", "0", "enter")

            assert not keyboard.runs
        assert "paused" == happened(book)[-1]

    @played
    async def test_ctrl_c_is_a_safe_pause(self, book: Book) -> None:
        """As closing the window is."""
        async with checking(book, "w5") as keyboard:
            await pull_on(keyboard, ask.Pull)
            await keyboard.press("ctrl+c")

            assert not keyboard.runs
        assert "paused" == happened(book)[-1]

    @played
    async def test_esc_leaves_the_question_of_the_menu_and_nothing_is_stored(self, book: Book) -> None:
        """Back to the menu first, then to the pull."""
        async with checking(book, "w5") as keyboard:
            await pull_on(keyboard, ask.Pull)
            before = happened(book)
            await keyboard.press("*")
            menu = on_it(keyboard).gathering.part
            await keyboard.press("3", "enter", "escape")

            assert menu is not None
            assert menu == on_it(keyboard).gathering.part
            await keyboard.press("escape")
            assert on_it(keyboard).gathering.part is None
            assert before == happened(book)

    @played
    async def test_giving_up_wants_its_reason(self, book: Book) -> None:
        """Chosen by number."""
        async with checking(book, "w5") as keyboard:
            await pull_on(keyboard, ask.Pull)
            await keyboard.press("*", "3", "enter", "1", "enter")

        assert ("abandoned", "started by mistake") == (happened(book)[-1], daybook(book)[-1]["reason"])


class TestPages:
    """What can be read while a check goes on."""

    @played
    async def test_f1_tells_the_question_its_keys_and_its_words(self, book: Book) -> None:
        """And what the check rests on."""
        async with checking(book, "w5") as keyboard:
            await pull_on(keyboard, ask.Pull)
            await keyboard.press("f1")
            page = keyboard.app.screen

            assert isinstance(page, Page)
            assert any("Allowed: W5 off by" in line for line in page.lines_shown)

    @played
    async def test_all_figures_so_far(self, book: Book) -> None:
        """Series by series, point by point."""
        async with checking(book, "w5", techniques=("slow", "quick"), readings=1) as keyboard:
            await pull_on(keyboard, ask.Adjust)
            await keyboard.press("*", "4", "enter")
            page = keyboard.app.screen

            assert isinstance(page, Page)
            assert any(line.startswith("Quick against slow") for line in page.lines_shown)

    @played
    async def test_f2_offers_what_the_menu_has(self, book: Book) -> None:
        """Found by its words."""
        async with checking(book, "w5") as keyboard:
            await pull_on(keyboard, ask.Pull)
            await keyboard.press("f2")
            await keyboard.type("figures")
            await keyboard.drawn()

            assert isinstance(keyboard.app.screen, Page)


class TestAnOpenCheck:
    """It was left in the middle, and nobody has to remember that."""

    @played
    async def test_it_stands_on_the_bench_and_is_gone_on_with(self, book: Book) -> None:
        """Whoever is there is asked; the readings are kept, and zero is looked at again."""
        async with checking(book, "w5") as keyboard:
            await pull_on(keyboard, ask.Pull, times=3)
        async with at_the_bench(book) as keyboard:
            await rested(keyboard)
            await choose(keyboard, "Check of W5 · as found · Ines")
            await keyboard.press("2", "enter")
            told = await rested(keyboard)
            prompt = on_it(keyboard).gathering.prompt

        assert "Resumed. Zero and setting are asked again." in told
        assert isinstance(prompt, ask.Zero)
        assert ["pulled"] * 2 + ["resumed"] == [event for event in happened(book) if event in ("pulled", "resumed")]

    @played
    async def test_the_page_of_its_tool_says_so(self, book: Book) -> None:
        """In place of beginning one."""
        async with checking(book, "w5") as keyboard:
            await pull_on(keyboard, ask.Zero)
        async with at_the_tools(book) as keyboard:
            await choose(keyboard, "W5")

            assert "1 Resume its check" in await rested(keyboard)

    @played
    async def test_one_that_is_over_stands_there_no_more(self, book: Book) -> None:
        """The bench lists what is left to do."""
        async with checking(book, "w5", readings=1) as keyboard:
            await pull_on(keyboard, ask.Ended)
        async with at_the_bench(book) as keyboard:
            assert "Check of W5" not in await rested(keyboard)
