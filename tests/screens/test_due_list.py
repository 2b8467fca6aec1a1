"""The whole list of what is due on the screen: sorted, opened, crossed off; and what the bench shows of it."""

from __future__ import annotations

import asyncio
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from at_keyboard import Keyboard, Time, at_the_bench, named, played
from at_looks import SIZES, Look, compared, in_utc
from at_tools import choose, rested
from clampbook.book.book import Book
from clampbook.book.releases import Given, give, releasing
from clampbook.ledger.stamp import stamp_of
from clampbook.run import prompts as ask
from clampbook.screens.app import Clampbook
from clampbook.screens.at_the_bench import bench
from clampbook.screens.bench import Bench, Standing
from clampbook.screens.due_list import DueList
from clampbook.screens.tools.dialogue import Dialogue
from clampbook.screens.tools.tool_page import ToolPage
from museum import log_of, museum

GOLDEN = Path(__file__).resolve().parent.parent / "golden"
HEAD = "20260302-whinchat-pattern-c-head-{}"
SORT = "Sort this list"


def filled(folder: Path, runs: int = 1) -> Book:
    """The demo book with so many heads that were closed on 2 March."""
    book = museum(folder)
    for name in ("aaaaaaaa", "bbbbbbbb", "cccccccc", "dddddddd", "eeeeeeee", "ffffffff")[:runs]:
        shutil.copytree(GOLDEN / "head", book.path("runs", HEAD.format(name)))
    return book


def compared_by(book: Book, time: Time, day: str) -> None:
    """The coupling flange was released, to be compared again by a day."""
    maud = book.person_named("Maud")
    path = book.root / "procedures" / "whinchat-coupling-flange.toml"
    given = Given(person=maud, at=time.now(), compared_with="Sheet 14", look_again_by=day)
    give(book, releasing(book, path, given), None, stamp_of(time.now(), maud.id))


async def chosen(keyboard: Keyboard, begins: str) -> None:
    """The line of the bench that begins so is chosen, once it is there: what is due takes a moment to be read."""
    for _ in range(1000):
        await rested(keyboard)
        screen = keyboard.app.screen
        assert isinstance(screen, Bench)
        if any(choice.text.startswith(begins) for choice in screen.part.choices):
            break
        await asyncio.sleep(0.01)
    await choose(keyboard, begins)


@played
async def test_the_bench_shows_the_first_five_and_how_many_more(tmp_path: Path) -> None:
    """A long list would push all else out of sight."""
    async with at_the_bench(filled(tmp_path / "book", 6)) as keyboard:
        await rested(keyboard)
        assert isinstance(keyboard.app.screen, Bench)
        due = [text for section, text, _ in keyboard.app.screen.standing.rows if section == "Due"]

    assert (6, "2 more: see the whole list") == (len(due), due[-1])


@played
async def test_a_tool_is_opened_by_its_entry(tmp_path: Path) -> None:
    """To check it, or to write down its calibration."""
    async with at_the_bench(museum(tmp_path / "book")) as keyboard:
        await chosen(keyboard, "W7: calibration overdue")

        assert isinstance(keyboard.app.screen, ToolPage)
        assert "W7" == keyboard.app.screen.tool.name


@played
async def test_a_procedure_to_be_compared_again_is_released_again(tmp_path: Path) -> None:
    """Its entry asks what it was compared with, and the day is a new one."""
    book, time = museum(tmp_path / "book"), Time()
    compared_by(book, time, "2026-03-20")
    async with at_the_bench(book) as keyboard:
        await chosen(keyboard, "Compare again: Coupling flange")
        await rested(keyboard)
        assert isinstance(keyboard.app.screen, Dialogue)
        await choose(keyboard, "Compare it again")
        await choose(keyboard, "Maud")
        await keyboard.type("Sheet 14, issue 2")
        await choose(keyboard, "In a year")
        await keyboard.press("pagedown", "pagedown", "pagedown")
        await keyboard.type("release")
        await rested(keyboard)

    last = log_of(book)[-1]
    assert ("procedure_released", "Sheet 14, issue 2", "2027-03-02") == (
        last["event"],
        last["compared_with"],
        last["look_again_by"],
    )


@played
async def test_it_is_sorted_by_person_and_by_equipment(tmp_path: Path) -> None:
    """The tools have neither, and stand last."""
    async with at_the_bench(filled(tmp_path / "book")) as keyboard:
        await chosen(keyboard, SORT)
        screen = keyboard.app.screen
        assert isinstance(screen, DueList)
        sections = {"day": [section for section, *_ in screen.rows]}
        for by in ("person", "equipment"):
            await choose(keyboard, f"Sort by {by}")
            sections[by] = [section for section, *_ in screen.rows][:2]

    assert ["Due", "Due", "This list", "This list", "This list"] == sections["day"]
    assert (["Ines", "No person"], ["4107", "No equipment"]) == (sections["person"], sections["equipment"])


@played
async def test_a_follow_up_done_elsewhere_is_crossed_off(tmp_path: Path) -> None:
    """With a name and a reason; then neither list has it."""
    book = filled(tmp_path / "book")
    async with at_the_bench(book) as keyboard:
        await chosen(keyboard, SORT)
        await choose(keyboard, "Cross off")
        await choose(keyboard, "Ines")
        await keyboard.type("done on the slip on 14 March")
        await rested(keyboard)
        listed = keyboard.app.screen
        assert isinstance(listed, DueList)
        rows, notice = [text for _, text, _ in listed.rows], listed.notice
        await keyboard.press("escape")
        await rested(keyboard)
        assert isinstance(keyboard.app.screen, Bench)
        at_bench = [each.text for each in keyboard.app.screen.standing.due]

    assert notice.startswith("Follow-up “Look at the head after the first run” crossed off by Ines on 2 March 2026")
    assert (["W7: calibration overdue since 2026-02-01"], "follow_up_crossed_off") == (
        at_bench,
        log_of(book)[-1]["event"],
    )
    assert not any(text.startswith(("Look at the head", "Cross off")) for text in rows)


@played
async def test_what_was_crossed_off_by_mistake_is_seen_and_due_again(tmp_path: Path) -> None:
    """With a name and a reason, as it was crossed off."""
    book = filled(tmp_path / "book")
    async with at_the_bench(book) as keyboard:
        await chosen(keyboard, SORT)
        await choose(keyboard, "Cross off")
        await choose(keyboard, "Ines")
        await keyboard.type("done on the slip on 14 March")
        await rested(keyboard)
        await choose(keyboard, "See what was crossed off")
        shown = await rested(keyboard)
        await keyboard.press("1", "enter")
        await choose(keyboard, "Tomas")
        await keyboard.type("another engine was meant")
        told = await rested(keyboard)
        listed = keyboard.app.screen
        assert isinstance(listed, DueList)
        rows = [text for _, text, _ in listed.rows]

    assert "crossed off by Ines on 2 March 2026: done on the slip on 14 March" in shown
    assert "is due again." in told
    assert any(row.startswith("Look at the head after the first run") for row in rows)
    assert not any(row.startswith("See what") for row in rows)
    last = log_of(book)[-1]
    assert ("follow_up_due_again", "tomas", "another engine was meant") == (last["event"], last["by"], last["reason"])


def test_the_bench_leads_to_what_is_crossed_off_where_nothing_is_due() -> None:
    """It could not be taken back there else."""
    assert ("Due", "See what was crossed off", "all that is due") in Standing(crossed_off=True).rows
    assert not [row for row in Standing().rows if row[0] == "Due"]


@played
async def test_of_several_it_asks_which_one(tmp_path: Path) -> None:
    """By what it is of, and when that was done."""
    book = filled(tmp_path / "book", 2)
    async with at_the_bench(book) as keyboard:
        await chosen(keyboard, SORT)
        await choose(keyboard, "Cross off")
        await keyboard.press("2", "enter")
        await choose(keyboard, "Ines")
        await keyboard.type("the head was done again")
        await rested(keyboard)

    last = log_of(book)[-1]
    assert (HEAD.format("bbbbbbbb"), "the head was done again", named(book, "Ines").id) == (
        last["run"],
        last["reason"],
        last["by"],
    )


@played
async def test_a_tool_that_was_seen_to_is_off_the_list(tmp_path: Path) -> None:
    """Out of service it rests; the list is read again behind its page."""
    async with at_the_bench(filled(tmp_path / "book")) as keyboard:
        await chosen(keyboard, SORT)
        await choose(keyboard, "W7: calibration overdue")
        await choose(keyboard, "Take out of service")
        await choose(keyboard, "away for calibration")
        await choose(keyboard, "Ines")
        await rested(keyboard)
        await keyboard.press("escape")
        await rested(keyboard)
        back = keyboard.app.screen
        assert isinstance(back, DueList)

        assert ["Look at the head"] == [text[:16] for section, text, _ in back.rows if section == "Due"]


@played
async def test_a_follow_up_is_started_from_the_list(tmp_path: Path) -> None:
    """On the same engine, which nobody is asked for."""
    async with at_the_bench(filled(tmp_path / "book")) as keyboard:
        await chosen(keyboard, SORT)
        await choose(keyboard, "Look at the head")
        await choose(keyboard, "Ines")

        assert isinstance(keyboard.prompt, ask.StartSheet)
        assert "4107" == keyboard.walk.gathering.session.progress.worked_on


async def whole(keyboard: Keyboard) -> None:
    """The list by day."""
    await chosen(keyboard, SORT)


async def by_person(keyboard: Keyboard) -> None:
    """The list by person."""
    await whole(keyboard)
    await choose(keyboard, "Sort by person")


async def crossing(keyboard: Keyboard) -> None:
    """Which one was done elsewhere?"""
    await whole(keyboard)
    await choose(keyboard, "Cross off")


LOOKS = {
    "bench": Look(rested, ("What do you want to do?", "Start")),  # type: ignore[arg-type]
    "whole list": Look(whole, ("due, by day", "1 W7: calibration overdue")),
    "by person": Look(by_person, ("due, by person", "Ines")),
    "crossing off": Look(crossing, ("Which follow-up?", "1 Look at the head after the first run")),
}


@pytest.fixture
def two_heads(tmp_path: Path) -> Iterator[Book]:
    """Two heads are to be looked at, in a place whose clocks show UTC."""
    with in_utc():
        yield filled(tmp_path / "book", 2)


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
@pytest.mark.parametrize("name", LOOKS)
def test_what_is_due_looks_as_approved(
    snap_compare: Callable[..., bool], two_heads: Book, time: Time, name: str, size: tuple[int, int]
) -> None:
    """What is over stands first, and the field and the keys are never pushed off."""
    app = Clampbook(lambda app: bench(app, two_heads, time))

    alike, words = compared(snap_compare, app, time, size, LOOKS[name].scene)

    assert [] == [each for each in LOOKS[name].words if each not in words]
    assert alike
