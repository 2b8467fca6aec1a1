"""The tools of a book by keys: what is listed, what is written, and what is refused."""

from __future__ import annotations

import random
from datetime import date
from pathlib import Path

import pytest

from at_checks import daybook, happened, pull_on
from at_checks import on_it as on_the_check
from at_keyboard import Keyboard, at_the_bench, played, steadily
from at_tools import at_the_tools, choose, made, rested, tools_text
from clampbook.book import toolbox
from clampbook.book.book import Book
from clampbook.check import prompts as ask
from clampbook.ledger.lines import decode
from clampbook.run import prompts as run_ask
from clampbook.screens.page import Page
from clampbook.screens.tools.form import EntryForm
from clampbook.screens.tools.shelf import ToolShelf
from clampbook.screens.tools.tool_page import ToolPage
from clampbook.tools.model import Tool
from covers import TIGHTENED, cover
from museum import own

COVER = cover(TIGHTENED, screws="1-2")


@pytest.fixture
def book(tmp_path: Path) -> Book:
    """The demo book."""
    return made(tmp_path / "book")


def tool(book: Book, id: str) -> Tool:
    """One of its tools as the file has it now."""
    return next(tool for tool in book.tools() if tool.id == id)


class TestTheList:
    """Reached from the bench."""

    @played
    async def test_every_tool_stands_there_with_its_state_in_words(self, book: Book) -> None:
        """And what is due this month below them."""
        async with at_the_tools(book, size=(120, 36)) as keyboard:
            shown = await rested(keyboard)

        assert "W7 setting 20–120 N·m calibration overdue" in shown
        assert "W7: calibration overdue since 2026-02-01" in shown
        assert "W2 setting 20–100 lbf·ft ready" in shown

    @played
    async def test_a_file_with_faults_is_told_and_the_book_stays_usable(self, book: Book) -> None:
        """Every fault with its line; Esc goes back to the bench."""
        book.path("tools.toml").write_text(tools_text(book).replace('kind = "setting"', 'kind = "set"', 1))
        async with at_the_bench(book) as keyboard:
            await rested(keyboard)
            await choose(keyboard, "tools and adapters")
            shown = await rested(keyboard)
            await keyboard.press("escape")
            await rested(keyboard)

            assert not isinstance(keyboard.app.screen, ToolShelf)
        assert "Correct it by hand" in shown and "E119" in shown

    @played
    async def test_a_star_goes_back_on_a_numeric_pad(self, book: Book) -> None:
        """From a tool to the list, from there to the bench."""
        async with at_the_tools(book) as keyboard:
            await choose(keyboard, "W5")
            await keyboard.press("*")
            assert isinstance(keyboard.app.screen, ToolShelf)
            await keyboard.press("*")
            await rested(keyboard)

            assert not isinstance(keyboard.app.screen, ToolShelf)

    @played
    async def test_all_labels_one_line_a_tool(self, book: Book) -> None:
        """To be put on them."""
        async with at_the_tools(book) as keyboard:
            await choose(keyboard, "Print all labels")
            page = keyboard.app.screen

            assert isinstance(page, Page)
            assert len(book.tools()) == len(page.lines_shown)


class TestTheForm:
    """One item a line; the rules are those of the file's reader."""

    @played
    async def test_a_new_tool_is_written_at_the_end_of_the_file(self, book: Book) -> None:
        """Numbers alone get the unit of the scale, and all before it stays byte for byte as it was."""
        before = tools_text(book)
        async with at_the_tools(book) as keyboard:
            await choose(keyboard, "Add a tool")
            await keyboard.type("W11")
            await keyboard.press("enter")  # the id that comes of the name
            await keyboard.press("1", "enter")
            for text in ("1", "20", "100", "0.5"):
                await keyboard.type(text)
            await keyboard.press("enter", "enter")
            await keyboard.type("II A")
            await keyboard.press("end", "1", "enter")
            await keyboard.drawn()

            assert isinstance(keyboard.app.screen, ToolShelf)
        new = tool(book, "w11")
        assert tools_text(book).startswith(before)
        assert ("W11", "setting", "N·m", "20", "100", "0.5", "A") == (
            *(new.name, new.kind, new.unit),
            *(str(new.minimum), str(new.maximum), str(new.resolution), new.iso_class),
        )

    @played
    async def test_a_fault_stands_beside_its_item_while_it_is_typed(self, book: Book) -> None:
        """And goes once it is mended."""
        async with at_the_tools(book) as keyboard:
            await choose(keyboard, "W5")
            await choose(keyboard, "Edit")
            await keyboard.press("down", "down", "down", "right", "x")
            wrong = await rested(keyboard)
            await keyboard.press("backspace")
            mended = await rested(keyboard)

        assert ("is not a unit of torque" in wrong, "is not a unit of torque" in mended) == (True, False)

    @played
    async def test_the_first_sign_takes_the_place_of_what_stands(self, book: Book) -> None:
        """An arrow or Backspace keeps it to be changed at its end."""
        async with at_the_tools(book) as keyboard:
            await choose(keyboard, "W5")
            await choose(keyboard, "Edit")
            form = keyboard.app.screen
            assert isinstance(form, EntryForm)
            stood = form.field
            await keyboard.press("X")
            replaced = form.field
            await keyboard.press("escape", "right", "X")
            added = form.field
            await keyboard.press("up", "down", "backspace")

            assert ("W5", "X", "W5X", "W5") == (stood, replaced, added, form.field)

    @played
    async def test_the_number_of_a_unit_takes_the_place_of_the_unit_that_stands(self, book: Book) -> None:
        """A digit is the choice, also where the old unit stands in the field."""
        async with at_the_tools(book) as keyboard:
            await choose(keyboard, "W5")
            await choose(keyboard, "Edit")
            await keyboard.press("down", "down", "1", "enter")
            form = keyboard.app.screen

            assert isinstance(form, EntryForm)
            assert "N·m" == form.filling.values["unit"]

    @played
    async def test_what_a_change_breaks_elsewhere_is_told_there_at_once(self, book: Book) -> None:
        """Another unit of the scale: ends and steps in the old one are at fault, and the last line says so."""
        async with at_the_tools(book, size=(120, 60)) as keyboard:
            await choose(keyboard, "W5")
            await choose(keyboard, "Edit")
            await keyboard.press("down", "down", "1", "enter")
            there = await rested(keyboard)
            await keyboard.press("end")
            last = await rested(keyboard)

        assert 3 == there.count("is not in N·m, the unit of the scale")
        assert "Correct first: scale from, scale to, scale lines every" in last

    @played
    async def test_what_has_faults_is_not_written(self, book: Book) -> None:
        """The form goes to the first of them."""
        before = tools_text(book)
        async with at_the_tools(book) as keyboard:
            await choose(keyboard, "Add a tool")
            await keyboard.type("W5")
            await keyboard.press("end", "1", "enter")
            form = keyboard.app.screen

            assert isinstance(form, EntryForm)
            assert "belongs to" in await rested(keyboard) or "this is needed" in await rested(keyboard)
        assert before == tools_text(book)

    @played
    async def test_a_change_leaves_comments_and_order_as_they_were(self, book: Book) -> None:
        """Only the line of the key is another one."""
        path = book.path("tools.toml")
        path.write_text(f"# bought in spring\n{tools_text(book)}")
        before = tools_text(book)
        async with at_the_tools(book) as keyboard:
            await choose(keyboard, "W5")
            await choose(keyboard, "Edit")
            await keyboard.press("end", "up", *"shelf 3", "end", "1", "enter")
            await keyboard.drawn()

            assert isinstance(keyboard.app.screen, ToolPage)
        assert [line for line in tools_text(book).splitlines() if line != 'note = "shelf 3"'] == before.splitlines()

    @played
    async def test_a_file_changed_meanwhile_by_hand_is_not_overwritten(self, book: Book) -> None:
        """It is told, and what somebody wrote stands."""
        async with at_the_tools(book) as keyboard:
            await choose(keyboard, "W5")
            await choose(keyboard, "Edit")
            book.path("tools.toml").write_text(f"{tools_text(book)}# by hand\n")
            await keyboard.press("end", "up", *"shelf 3", "end", "1", "enter")
            shown = await rested(keyboard)

        assert "has changed. Nothing saved" in shown
        assert tools_text(book).endswith("# by hand\n") and "shelf 3" not in tools_text(book)

    @played
    async def test_esc_has_to_be_said_twice_where_something_was_typed(self, book: Book) -> None:
        """And writes nothing."""
        before = tools_text(book)
        async with at_the_tools(book) as keyboard:
            await choose(keyboard, "W5")
            await choose(keyboard, "Edit")
            await keyboard.press("end", "up", "x", "up", "escape")
            assert isinstance(keyboard.app.screen, EntryForm)
            await keyboard.press("escape")

            assert isinstance(keyboard.app.screen, ToolPage)
        assert before == tools_text(book)

    @played
    async def test_so_it_has_where_an_item_is_half_typed(self, book: Book) -> None:
        """What was typed is gone, and the form is still there."""
        async with at_the_tools(book) as keyboard:
            await choose(keyboard, "W5")
            await choose(keyboard, "Edit")
            await keyboard.press("x", "escape")
            shown = await rested(keyboard)

            assert isinstance(keyboard.app.screen, EntryForm)
        assert "Nothing is saved yet" in shown and "W5x" not in shown

    @played
    async def test_an_adapter_has_its_own_form(self, book: Book) -> None:
        """A length alone is in mm."""
        async with at_the_tools(book) as keyboard:
            await choose(keyboard, "Add an adapter")
            await keyboard.type("A2")
            await keyboard.press("enter")
            await keyboard.type("-30")
            await keyboard.press("end", "1", "enter")
            await keyboard.drawn()

        adapter = toolbox.stock(book).adapters[-1]
        assert adapter.extension is not None
        assert ("a2", "-30", "mm") == (adapter.id, str(adapter.extension.value), adapter.extension.unit)


class TestAChangedSerialNumber:
    """Asked when the page of the tool is opened, and answered by name."""

    @pytest.fixture
    def changed(self, book: Book) -> Book:
        """W2 was used as HM-0031, and is HM-0400 in the file now."""
        toolbox.add_pulls(book, tool(book, "w2"), 40, date(2026, 3, 2), {"at": "2026-03-02T08:00:00.000Z"})
        text = tools_text(book).replace("HM-0031", "HM-0400")
        book.path("tools.toml").write_text(text, encoding="utf-8")
        return book

    @played
    async def test_the_bench_and_the_page_ask(self, changed: Book) -> None:
        """One sentence and two answers, then who says so; the past begins here."""
        async with at_the_bench(changed) as keyboard:
            assert "serial number was HM-0031, is it the same tool?" in await rested(keyboard)
            await choose(keyboard, "7 tools")
            await choose(keyboard, "W2")
            asked = await rested(keyboard)
            await keyboard.press("1", "enter", "1", "enter")
            shown = await rested(keyboard)

        assert "W2 had serial HM-0031, now HM-0400. Is it the same tool?" in asked
        assert "1 another tool 2 the same tool (the number was mistyped)" in asked
        assert "Another tool. Its past starts here." in shown
        last = decode(changed.log_lines()[-1])
        assert ("tool_told_apart", False, "ines", "Ines") == tuple(last[key] for key in ("event", "same", "by", "name"))
        assert 0 == toolbox.stock(changed).use("w2").pulls

    @played
    async def test_unanswered_it_is_asked_before_a_check(self, changed: Book) -> None:
        """Esc leaves it for another time; a check is of one of the two, so it is asked again, and then begun."""
        async with at_the_tools(changed) as keyboard:
            await choose(keyboard, "W2")
            await rested(keyboard)
            await keyboard.press("escape")
            await choose(keyboard, "Check")
            asked = await rested(keyboard)
            await keyboard.press("2", "enter", "1", "enter")
            shown = await rested(keyboard)

        assert "Is it the same tool?" in asked
        assert "The same tool. It keeps its past." in shown
        assert 40 == toolbox.stock(changed).use("w2").pulls


class TestDeeds:
    """What can be done with one tool."""

    @played
    async def test_withdrawing_wants_its_reason(self, book: Book) -> None:
        """Chosen by number; the page says so at once."""
        async with at_the_tools(book) as keyboard:
            await choose(keyboard, "W2")
            await choose(keyboard, "Take out")
            await keyboard.press("1", "enter", "1", "enter")
            shown = await rested(keyboard)

        withdrawn = tool(book, "w2").withdrawn
        assert withdrawn is not None
        assert ("2026-03-02", "dropped") == (withdrawn.on, withdrawn.reason)
        assert "out of service since 2026-03-02: dropped" in shown

    @played
    async def test_put_back_it_is_fit_again(self, book: Book) -> None:
        """The entry is as it was before."""
        before = tools_text(book)
        async with at_the_tools(book) as keyboard:
            await choose(keyboard, "W2")
            await choose(keyboard, "Take out")
            await keyboard.press("1", "enter", "1", "enter")
            await rested(keyboard)
            await choose(keyboard, "Return")
            await keyboard.press("1", "enter", "1", "enter")
            await rested(keyboard)

        assert before == tools_text(book)
        said = [decode(line) for line in book.log_lines()]
        assert [("tool_out_of_service", "w2", "Ines"), ("tool_returned_to_service", "w2", "Ines")] == [
            (line["event"], line["tool"], line["name"]) for line in said if "name" in line
        ]

    @played
    async def test_pulls_done_elsewhere_are_counted(self, book: Book) -> None:
        """With who says so."""
        async with at_the_tools(book) as keyboard:
            await choose(keyboard, "W2")
            await choose(keyboard, "Add pulls")
            await keyboard.type("40")
            await keyboard.press("1", "enter")
            shown = await rested(keyboard)

        assert 40 == toolbox.stock(book).use("w2").pulls
        assert "40 pulls since its calibration" in shown

    @played
    async def test_its_label(self, book: Book) -> None:
        """One line."""
        async with at_the_tools(book) as keyboard:
            await choose(keyboard, "W2")
            await choose(keyboard, "Print its label")
            page = keyboard.app.screen

            assert isinstance(page, Page)
            assert page.lines_shown[0].startswith("W2 20–100 lbf·ft  calibration due 2027-01-01")


class TestChecking:
    """From the page of a tool."""

    @played
    async def test_with_two_ways_of_pulling(self, book: Book) -> None:
        """Who, how, where; the check is on the screen then, and the page behind it afterwards."""
        async with at_the_tools(book, size=(120, 36)) as keyboard:
            await choose(keyboard, "W5")
            await choose(keyboard, "Check")
            await keyboard.press("1", "enter", "2", "enter", "1", "enter", "1", "enter")
            await keyboard.drawn()
            plan = on_the_check(keyboard).gathering.session.plan
            await pull_on(keyboard, ask.Ended)
            await rested(keyboard)
            await keyboard.press("enter")
            shown = await rested(keyboard)

            assert isinstance(keyboard.app.screen, ToolPage)
        assert ["slow", "quick"] == [series.technique for series in plan.series]
        assert "last check 2026-03-02" in shown

    @played
    async def test_at_the_torques_of_the_work(self, book: Book) -> None:
        """Typed with a blank between them; one off the scale is refused, and asked again."""
        async with at_the_tools(book) as keyboard:
            await choose(keyboard, "W5")
            await choose(keyboard, "Check")
            await keyboard.press("1", "enter", "1", "enter", "1", "enter", "2", "enter")
            await keyboard.type("22 400")
            refused = await rested(keyboard)
            await keyboard.press("2", "enter")
            await keyboard.type("22 40")
            await keyboard.drawn()
            plan = on_the_check(keyboard).gathering.session.plan

        assert "is off the scale" in refused
        assert ["22", "40"] == [str(point.value) for point in plan.points]

    @played
    async def test_an_open_check_is_gone_on_with(self, book: Book) -> None:
        """Only who is there is asked."""
        async with at_the_tools(book) as keyboard:
            await choose(keyboard, "W5")
            await choose(keyboard, "Check")
            await keyboard.press("1", "enter", "1", "enter", "1", "enter", "1", "enter")
            await keyboard.drawn()
            await pull_on(keyboard, ask.Pull, times=2)
            await keyboard.press("*", "0", "enter")
            await rested(keyboard)
            assert isinstance(keyboard.app.screen, ToolPage)
            await choose(keyboard, "Resume")
            await keyboard.press("2", "enter")
            await keyboard.drawn()
            on_the_check(keyboard)

        assert ("resumed", "tomas") == (daybook(book)[-2]["event"], daybook(book)[-2]["by"])
        assert 1 == happened(book).count("opened")

    @played
    async def test_a_reference_that_ends_too_early_is_told_before_anything_is_asked(self, book: Book) -> None:
        """The tool's exercises would overload it; no question about torques could mend that."""
        book.path("tools.toml").write_text(tools_text(book).replace('"200 N·m"', '"10 N·m"'))
        async with at_the_tools(book) as keyboard:
            await choose(keyboard, "W5")
            await choose(keyboard, "Check")
            shown = await rested(keyboard)

            assert isinstance(keyboard.app.screen, ToolPage)
        assert "would overload it" in " ".join(shown.split())

    @played
    async def test_a_gauge_is_not_checked_here(self, book: Book) -> None:
        """So it is not offered."""
        async with at_the_tools(book) as keyboard:
            await choose(keyboard, "G1")
            shown = await rested(keyboard)

        assert "gainst a reference" not in shown


class TestTouched:
    """After a failed check, or by hand."""

    @played
    async def test_what_a_failed_tool_touched_stands_run_by_run(self, book: Book) -> None:
        """Every reading with its deviation applied."""
        own(book.root, "cover", COVER)
        async with at_the_bench(book) as keyboard:
            await rested(keyboard)
            await choose(keyboard, "Valve cover")
            await keyboard.press("1", "enter")
            await _with_w5(keyboard)
        async with at_the_tools(book) as keyboard:
            await choose(keyboard, "W5")
            await choose(keyboard, "List affected")
            await keyboard.type("-7")
            await rested(keyboard)
            page = keyboard.app.screen

            assert isinstance(page, Page)
            lines = page.lines_shown
        readings = [line for line in lines if "32.22 N·m" in line]
        assert 2 == len(readings), lines
        assert any("off by −7.00\u00a0%" in line or "off by −7.00 %" in line for line in lines), lines

    @played
    async def test_nothing_is_assumed_where_the_deviation_is_not_known(self, book: Book) -> None:
        """The minus sign says so."""
        async with at_the_tools(book) as keyboard:
            await choose(keyboard, "W5")
            await choose(keyboard, "List affected")
            await keyboard.press("-", "enter")
            await rested(keyboard)
            page = keyboard.app.screen

            assert isinstance(page, Page)
            assert "W5: nothing is known against it." == page.lines_shown[0]


async def _with_w5(keyboard: Keyboard) -> None:
    """The cover is walked with the indicating tool to its end."""
    await steadily(keyboard, until=run_ask.TakeTool)
    prompt = keyboard.prompt
    assert isinstance(prompt, run_ask.TakeTool)
    number = next(n for n, offer in enumerate(prompt.offers, 1) if offer.tool.id == "w5")
    await keyboard.press(str(number), "enter")
    await steadily(keyboard)
    await keyboard.press("enter")


class TestByHandMeanwhile:
    """Somebody writes into the file while the screens are open."""

    @played
    async def test_a_tool_that_is_gone_leads_back_to_the_list(self, book: Book) -> None:
        """Which is read anew."""
        async with at_the_tools(book) as keyboard:
            await choose(keyboard, "W9")
            text = tools_text(book)
            begin = text.index('[[tool]]\nid = "w9"')
            book.path("tools.toml").write_text(text[:begin] + text[text.index("[[tool]]", begin + 1) :])
            await choose(keyboard, "Add pulls")
            await keyboard.type("40")
            await keyboard.press("1", "enter")
            shown = await rested(keyboard)

            assert isinstance(keyboard.app.screen, ToolShelf)
        assert "W9" not in shown

    @played
    async def test_a_file_that_is_broken_meanwhile_is_told(self, book: Book) -> None:
        """And nothing ends."""
        async with at_the_tools(book) as keyboard:
            await choose(keyboard, "W5")
            book.path("tools.toml").write_text("[[tool]\n")
            await choose(keyboard, "Edit")
            shown = await rested(keyboard)

            assert isinstance(keyboard.app.screen, ToolShelf)
        assert "Correct it by hand" in shown


class TestHelpAndActions:
    """F1 and F2 as everywhere."""

    @pytest.mark.parametrize("where", ["", "W5", "Add a tool"])
    @played
    async def test_f1_opens_a_page(self, book: Book, where: str) -> None:
        """And Esc leads back."""
        async with at_the_tools(book) as keyboard:
            if where:
                await choose(keyboard, where)
            screen = keyboard.app.screen
            await keyboard.press("f1")
            assert isinstance(keyboard.app.screen, Page)
            await keyboard.press("escape")

            assert screen is keyboard.app.screen

    @played
    async def test_f2_offers_what_the_numbers_do(self, book: Book) -> None:
        """Found by its words."""
        async with at_the_tools(book) as keyboard:
            await choose(keyboard, "W2")
            await keyboard.press("f2")
            await keyboard.type("label")
            await keyboard.drawn()
            page = keyboard.app.screen

            assert isinstance(page, Page)
            assert page.lines_shown[0].startswith("W2")


TYPED = "0123456789.,+-*/ aqx?"
PRESSED = ("enter", "enter", "escape", "up", "down", "pagedown", "end", "home", "backspace", "f1")


@pytest.mark.parametrize("seed", range(2))
@played
async def test_no_keys_crash_anything(book: Book, seed: int) -> None:
    """Four hundred at random, from the list of tools on; what was written can still be read."""
    draw = random.Random(seed)
    async with at_the_tools(book) as keyboard:
        for _ in range(400):
            if len(keyboard.app.screen_stack) == 1:
                await rested(keyboard)
                await choose(keyboard, f"{len(book.tools())} tools")
            await keyboard.press(draw.choice((*TYPED, *PRESSED)))
            assert keyboard.runs, keyboard.pressed[-20:]
        keyboard.app.leave_run()
    assert len(book.tools()) >= 7


@played
async def test_where_columns_are_few_the_tool_keeps_its_name(book: Book) -> None:
    """The name of the book gives way at the top of its page."""
    path = book.path("tools.toml")
    path.write_text(path.read_text(encoding="utf-8").replace('name = "W2"', 'name = "Slipway 750"'), encoding="utf-8")
    async with at_the_tools(book, size=(40, 15)) as keyboard:
        await choose(keyboard, "Slipway 750")

        assert (await rested(keyboard)).startswith("tools · Slipway 750")
