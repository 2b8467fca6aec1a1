"""The tour of the demo: notes beside the real screens, each once, which never stand in the way of an answer."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from at_keyboard import Keyboard, Time, at_the_bench, daybook, named, onward, played, shown, walking
from at_looks import SIZES, Look, compared, in_utc
from at_tools import rested
from clampbook import cli
from clampbook.book.book import Book
from clampbook.commands import walking as commands
from clampbook.demo import HEAD
from clampbook.run import prompts as ask
from clampbook.screens.app import Clampbook
from clampbook.screens.at_the_bench import bench
from clampbook.screens.bench import Bench
from clampbook.screens.tour.touring import Tour, TourNote
from clampbook.screens.walk import WalkScreen
from museum import museum


async def begun(keyboard: Keyboard) -> None:
    """The tour begins at what is on the screen."""
    await rested(keyboard)
    keyboard.app.tour = Tour(HEAD)
    if isinstance(keyboard.app.screen, Bench):
        keyboard.app.tour.at_bench(keyboard.app)
    await keyboard.drawn()


def place(keyboard: Keyboard) -> str:
    """What the note on the screen is about; "" where there is none."""
    screen = keyboard.app.screen
    return screen.note.place if isinstance(screen, TourNote) else ""


@played
async def test_it_begins_at_the_bench(tmp_path: Path) -> None:
    """With a note below the list, which Enter takes away."""
    async with at_the_bench(museum(tmp_path / "book")) as keyboard:
        await begun(keyboard)
        assert "bench" == place(keyboard)
        assert "What do you want to do?" in await shown(keyboard)
        await keyboard.press("enter")

        assert isinstance(keyboard.app.screen, Bench)


@played
async def test_a_key_that_is_none_of_its_own_answers_below(tmp_path: Path) -> None:
    """Nobody has to read it first: + says that the cautions are read, and the next note is there."""
    book = museum(tmp_path / "book")
    async with at_the_bench(book) as keyboard:
        await begun(keyboard)
        await keyboard.press("4", "enter", "1", "enter", "2", "enter")
        await rested(keyboard)
        assert "cautions" == place(keyboard)
        before = len(daybook(book))
        await keyboard.press("+")
        await rested(keyboard)

        assert before + 1 == len(daybook(book))
        assert "start" == place(keyboard)


@played
async def test_a_note_comes_once(tmp_path: Path) -> None:
    """The second bolt is asked as ever."""
    book = museum(tmp_path / "book")
    async with walking(book, HEAD, by=named(book, "Ines")) as keyboard:
        await onward(keyboard, ask.SetTool)
        await begun(keyboard)
        await keyboard.press("3", "0", "enter", "1", "enter")
        await rested(keyboard)
        assert "click" == place(keyboard)
        await keyboard.press("enter")
        await keyboard.slow_pull()
        await keyboard.press("+")
        await rested(keyboard)

        assert isinstance(keyboard.app.screen, WalkScreen)
        assert isinstance(keyboard.prompt, ask.Tighten)
        assert "2" == keyboard.prompt.where.position


@pytest.mark.parametrize("key", ["0", "escape"])
@played
async def test_it_is_left_at_any_note(tmp_path: Path, key: str) -> None:
    """No other note comes, and nothing was answered."""
    book = museum(tmp_path / "book")
    async with at_the_bench(book) as keyboard:
        await begun(keyboard)
        await keyboard.press(key)
        assert isinstance(keyboard.app.screen, Bench)
        await keyboard.press("4", "enter", "1", "enter", "2", "enter")
        await rested(keyboard)

        assert isinstance(keyboard.app.screen, WalkScreen)


@played
async def test_no_other_work_is_toured(tmp_path: Path) -> None:
    """Of the demo only the cylinder head."""
    book = museum(tmp_path / "book")
    async with walking(book, "whinchat-coupling-flange", by=named(book, "Ines")) as keyboard:
        await begun(keyboard)
        await keyboard.press("+")
        await rested(keyboard)

        assert isinstance(keyboard.app.screen, WalkScreen)


def test_the_demo_is_toured_while_it_is_new(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """And again where somebody asks for it; a book of one's own has no such option."""
    tours: list[bool] = []

    def opened(_: Book, *, tour: bool) -> int:
        tours.append(tour)
        return 0

    monkeypatch.setattr(commands, "is_a_screen", lambda: True)
    monkeypatch.setattr(commands, "at_the_bench", opened)
    into = ["--into", str(tmp_path / "book")]

    statuses = [cli.status(["demo", *into]), cli.status(["demo", *into]), cli.status(["demo", *into, "--tour"])]

    assert ([0, 0, 0], [True, False, True]) == (statuses, tours)
    assert 2 == cli.status(["walk", "--tour", HEAD])


async def at_first(keyboard: Keyboard) -> None:
    """The note at the bench."""
    await rested(keyboard)
    await keyboard.drawn()


async def at_a_click(keyboard: Keyboard) -> None:
    """The note at the first pull."""
    await rested(keyboard)
    await keyboard.press("4", "enter", "1", "enter", "2", "enter")
    await rested(keyboard)
    await keyboard.press("+", *"C1", "enter", "-", "enter", *"410", "enter", *"L7", "enter", *"10", "enter")
    await keyboard.press(*"L8", "enter", "+")
    await rested(keyboard)
    await keyboard.press("1", "enter", "3", "0", "enter", "1", "enter")
    await rested(keyboard)
    await keyboard.drawn()


LOOKS = {
    "bench": Look(at_first, ("Tour:", "Enter go on", "What do you want to do?")),
    "click": Look(at_a_click, ("Tour: The first line says", "Enter go on", "olt 1: pull W1")),
}


@pytest.fixture
def book(tmp_path: Path) -> Iterator[Book]:
    """The demo book, in a place whose clocks show UTC."""
    with in_utc():
        yield museum(tmp_path / "book")


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
@pytest.mark.parametrize("name", LOOKS)
def test_the_tour_looks_as_approved(
    snap_compare: Callable[..., bool], book: Book, time: Time, name: str, size: tuple[int, int]
) -> None:
    """The first line of the real screen is never covered."""
    app = Clampbook(lambda app: bench(app, book, time))
    app.tour = Tour(HEAD)

    alike, words = compared(snap_compare, app, time, size, LOOKS[name].scene)

    assert [] == [each for each in LOOKS[name].words if each not in words]
    assert alike
