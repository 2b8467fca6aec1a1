"""A paper form typed in by keys: what is asked before its run exists, and the time that stands in a row."""

from __future__ import annotations

from datetime import UTC, timedelta
from pathlib import Path

import pytest

from at_keyboard import START, Keyboard, Time, daybook, named, played, shown
from clampbook.book.book import Book
from clampbook.book.starting.of_the_form import revisions
from clampbook.book.starting.terms import work_named
from clampbook.run import prompts as ask
from clampbook.screens.app import Clampbook
from clampbook.screens.explaining import help_at
from clampbook.screens.keyboard import Hands
from clampbook.screens.opening import Wanted, begin
from clampbook.screens.paper_form import PaperForm
from museum import museum

FLANGE = "whinchat-coupling-flange"


@pytest.fixture
def keyboard(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> tuple[Book, Clampbook, Time]:
    """The program that is about to type in a form of the flange."""
    book = museum(tmp_path / "book")
    time = Time()
    monkeypatch.setattr(Hands, "now", staticmethod(time.stopwatch))
    work = work_named(book, FLANGE)
    form = PaperForm(revisions(book, work), time.now(), lambda at: at.replace(tzinfo=time.now().tzinfo))
    wanted = Wanted(work=work, person=named(book, "Ines"), trial=False, form=form)
    return book, Clampbook(lambda app: begin(app, book, time, wanted)), time


@played
async def test_its_revision_and_its_beginning_are_asked_first(keyboard: tuple[Book, Clampbook, Time]) -> None:
    """A time that is still to come is refused; then the run is one from paper, by nobody who is named."""
    book, app, time = keyboard
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        keys = Keyboard(pilot, time)
        assert "at the foot of the form?" in await shown(keys)
        await keys.press("2", "enter")
        assert "Find the file that the form was printed from" in " ".join((await shown(keys)).split())
        await keys.press("backspace", "1", "enter")
        await keys.type(f"{START + timedelta(days=1):%Y-%m-%d} 8:00")
        assert "is still to come" in await shown(keys)
        assert not book.runs()
        await keys.press("ctrl+u")
        await keys.type(f"{START - timedelta(days=1):%Y-%m-%d} 8:00")
        await keys.press("-", "enter")
        assert "not named, entered by Ines" in " ".join((await shown(keys)).split())
        app.leave_run()

    assert daybook(book)[0]["typed_at"] > daybook(book)[0]["at"]


@played
async def test_a_row_can_have_a_time_of_its_own(keyboard: tuple[Book, Clampbook, Time]) -> None:
    """It is typed where digits else leave no trace; help tells of it."""
    book, app, time = keyboard
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        keys = Keyboard(pilot, time)
        await keys.press("1", "enter")
        await keys.type(f"{START - timedelta(days=1):%Y-%m-%d} 8:00")
        await keys.press("-", "enter")
        for _ in range(40):
            if isinstance(keys.prompt, ask.Tighten):
                break
            await _nothing_stands_there(keys)
        assert any("@9:14" in line for line in help_at(keys.prompt, keys.walk.gathering.session))
        await keys.type("@9:14 -")
        app.leave_run()

    told, blank = daybook(book)[-2:]
    assert told["at"].endswith(f"{(START.replace(hour=9, minute=14)).astimezone(UTC):T%H:%M}:00.000Z")
    assert told["at"] == blank["at"]


@played
async def test_a_time_that_is_still_to_come_is_refused_before_its_initials_are_asked(
    keyboard: tuple[Book, Clampbook, Time],
) -> None:
    """Beside the round, and beside a row with a number."""
    book, app, time = keyboard
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        keys = Keyboard(pilot, time)
        await keys.press("1", "enter")
        await keys.type(f"{START - timedelta(days=1):%Y-%m-%d} 8:00")
        await keys.press("-", "enter")
        while not isinstance(keys.prompt, ask.PaperTime):
            await _nothing_stands_there(keys)
        lines = len(daybook(book))

        await keys.type(f"{START + timedelta(days=1):%Y-%m-%d} 8:00")

        assert "is still to come. Type the time on the form." in " ".join((await shown(keys)).split())
        assert keys.walk.gathering.part is None
        assert lines == len(daybook(book))
        app.leave_run()


@played
async def test_rings_are_typed_as_quickly_as_they_are_read(keyboard: tuple[Book, Clampbook, Time]) -> None:
    """Six in two seconds are six; a key that is held rings one row more at most, and it is told."""
    book, app, time = keyboard
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        keys = Keyboard(pilot, time)
        await _at_its_first_round(keys)
        await keys.press("1", "enter")
        await keys.type("21.0 N·m")
        await keys.press(*"++++++", apart=0.35)
        assert 6 == _rings(book)

        screen = keys.walk
        await keys.press("+", apart=1)
        first = time.seconds + 0.5
        for n in range(30):
            screen.pressed("plus", "+", first + n * 0.033)
        time.seconds = first + 2
        await keys.seen_to()
        await keys.settle()

        assert 7 == _rings(book)
        assert "that + did not count" in " ".join((await shown(keys)).split())
        app.leave_run()


@played
async def test_the_same_initials_need_no_enter(keyboard: tuple[Book, Clampbook, Time]) -> None:
    """Like the same time: the tool that follows is never taken for a name."""
    _, app, time = keyboard
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        keys = Keyboard(pilot, time)
        await _at_its_first_round(keys)
        while not isinstance(keys.prompt, ask.PaperTime) or keys.prompt.until:
            await _nothing_stands_there(keys)
        await keys.type("8:30")
        await keys.press("+", apart=0.35)

        assert isinstance(keys.prompt, ask.TakeTool)
        app.leave_run()


async def _at_its_first_round(keys: Keyboard) -> None:
    await keys.press("1", "enter")
    await keys.type(f"{START - timedelta(days=1):%Y-%m-%d} 8:00")
    await keys.press("-", "enter")
    while not isinstance(keys.prompt, ask.PaperTime):
        await _nothing_stands_there(keys)
    await keys.type("8:10")
    await keys.type("Ines")


def _rings(book: Book) -> int:
    return [line["event"] for line in daybook(book)].count("clicked")


async def _nothing_stands_there(keys: Keyboard) -> None:
    part = keys.walk.gathering.part
    if part is not None:
        await keys.type("-")
    elif isinstance(keys.prompt, ask.PaperTime):
        await keys.type("8:10")
    else:
        await keys.type("-")


@played
async def test_whoever_stands_at_its_head_did_what_comes_before_any_initials(
    keyboard: tuple[Book, Clampbook, Time],
) -> None:
    """Cautions, parts and what was prepared have no initials of their own."""
    book, app, time = keyboard
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        keys = Keyboard(pilot, time)
        await keys.press("1", "enter")
        await keys.type(f"{START - timedelta(days=1):%Y-%m-%d} 8:00")
        assert "Whose name stands at “Done by”?" in await shown(keys)
        await keys.type("Maud")
        await keys.type("Tomas")
        await keys.press("enter")
        await keys.press("+")
        app.leave_run()

    first, cautions = daybook(book)[:2]
    assert ("maud", "maud") == (first["done_by_person"]["id"], cautions["done_by"])
    assert ["Tomas"] == [each["name"] for each in first["also_done_by"]]
    assert "ines" == cautions["by"]


@played
async def test_its_end_tells_what_it_left_open(keyboard: tuple[Book, Clampbook, Time]) -> None:
    """A form without a row is closed as done, and none of its bolts is known."""
    _, app, time = keyboard
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        keys = Keyboard(pilot, time)
        await _at_its_first_round(keys)
        while not isinstance(keys.prompt, ask.Finished):
            await (keys.type("Ines") if _signs_as_typed_in(keys) else _nothing_stands_there(keys))
        await keys.press("1", "enter")

        told = " ".join((await shown(keys)).split())
        assert "Run closed. Entered late from paper: done, " in told
        assert "12 positions not known" in told


def _signs_as_typed_in(keys: Keyboard) -> bool:
    return isinstance(keys.prompt, ask.SignOff) and keys.prompt.role == "typed in by"
