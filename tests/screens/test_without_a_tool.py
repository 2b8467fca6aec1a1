"""No tool can do the first pull: said before the run is opened, on the screen and line by line."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from at_keyboard import Keyboard, Time, at_the_bench, named, played, shown, walking
from at_looks import SIZES, compared
from at_terminal import terminal
from at_tools import choose, rested
from clampbook.book.book import Book
from clampbook.book.starting.terms import work_named
from clampbook.screens.app import Clampbook
from clampbook.screens.bench import Bench
from clampbook.screens.opening import Wanted, begin
from clampbook.screens.walk import WalkScreen
from clampbook.screens.without_a_tool import WithoutATool

HEAD = "whinchat-pattern-c-head"


@pytest.fixture
def book(book: Book) -> Book:
    """The demo book with nothing but W9, which starts at 200 N·m, and the angle gauge."""
    file = book.root / "tools.toml"
    text = file.read_text(encoding="utf-8")
    left = (text[text.index('[[tool]]\nid = "w9"') : text.index('[[tool]]\nid = "r1"')],)
    file.write_text("".join(left), encoding="utf-8")
    return book


async def told(keyboard: Keyboard) -> str:
    """All that stands on the screen, in one line."""
    return " ".join((await shown(keyboard)).split())


async def at_the_question(keyboard: Keyboard) -> None:
    """From the bench to the question about tools, by Ines."""
    await rested(keyboard)
    await choose(keyboard, "Cylinder head")
    await keyboard.type("1")  # Ines
    await keyboard.type("1")  # the final assembly
    await keyboard.drawn()


@played
async def test_it_is_said_before_the_run_is_opened(book: Book) -> None:
    """What is needed, which tools there are and why not; Esc leads back to the bench."""
    async with at_the_bench(book) as keyboard:
        await at_the_question(keyboard)
        asked = await told(keyboard)
        opened = book.runs()
        await keyboard.press("escape")

        assert isinstance(keyboard.app.screen, Bench)
    assert () == opened == book.runs()
    assert "Stage 1 needs a torque tool for 28.0 to 32.0 N·m. Start without one?" in asked
    assert "W9: starts at 200 N·m." in asked
    assert "Add one under Tools on the bench" in asked


@played
async def test_it_can_be_started_all_the_same(book: Book) -> None:
    """The walk waits for the tool at its first pull."""
    async with at_the_bench(book) as keyboard:
        await at_the_question(keyboard)
        await keyboard.type("2")

        assert isinstance(keyboard.app.screen, WalkScreen)
    assert 1 == len(book.runs())


@played
async def test_it_need_not_be_started(book: Book) -> None:
    """The third line is the way back."""
    async with at_the_bench(book) as keyboard:
        await at_the_question(keyboard)
        await keyboard.type("3")

        assert isinstance(keyboard.app.screen, Bench)
    assert () == book.runs()


@played
async def test_a_tool_added_there_starts_the_run(book: Book) -> None:
    """One that is too large does not, and is named among the others."""
    async with at_the_bench(book) as keyboard:
        await at_the_question(keyboard)
        for name, least, most, ends in (("W8", "300", "900", False), ("W2", "20", "100", True)):
            await keyboard.type("1")
            for item in (name, name.lower(), "1", "1", least, most, "0.5"):
                await keyboard.press(*["ctrl+u"])
                await keyboard.type(item)
            await keyboard.press("end")
            await keyboard.type("1")
            await keyboard.drawn()
            screen, text = keyboard.app.screen, await told(keyboard)
            assert isinstance(screen, WalkScreen if ends else WithoutATool), text
            assert ends or "W8: starts at 300 N·m." in text
    assert 1 == len(book.runs())


@played
async def test_a_walk_that_was_named_whole_asks_too(book: Book) -> None:
    """clampbook walk NAME --as PERSON asks nothing else before the run."""
    async with walking(book, HEAD, by=named(book, "Ines")) as keyboard:
        asked = isinstance(keyboard.app.screen, WithoutATool)
        await keyboard.press("escape")

        assert not keyboard.runs
    assert asked
    assert () == book.runs()


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
def test_it_looks_so(snap_compare: Callable[..., bool], book: Book, time: Time, size: tuple[int, int]) -> None:
    """The need first, then the ways on, then the tools."""

    async def scene(keyboard: Keyboard) -> None:
        await keyboard.drawn()
        keyboard.app.screen.told = tuple(  # type: ignore[attr-defined]
            line.replace(str(book.root), "/home/ines/book")
            for line in keyboard.app.screen.told  # type: ignore[attr-defined]
        )
        keyboard.app.screen.paint()  # type: ignore[attr-defined]

    wanted = Wanted(work=work_named(book, HEAD), person=named(book, "Ines"), trial=False)
    app = Clampbook(lambda app: begin(app, book, time, wanted))
    alike, text = compared(snap_compare, app, time, size, scene)

    assert "Stage 1 needs a torque tool for 28.0 to 32.0 N·m." in text
    assert "1 add a tool first" in text
    assert alike


@pytest.mark.parametrize(("answer", "runs"), [("1", 1), ("2", 0)])
def test_line_by_line_it_is_asked_on_a_terminal(book: Book, tmp_path: Path, answer: str, runs: int) -> None:
    """Whoever does not start has no run."""
    del tmp_path
    with terminal(book.root, "walk", HEAD, "--as", "Ines", "--plain", size=(100, 40)) as person:
        asked = person.wait_for("Start without a tool for it")
        assert () == book.runs()
        person.press(f"{answer}\r")
        person.wait_for("Read the cautions" if runs else "Nothing started")
    assert "W9: starts at 200 N·m." in asked
    assert runs == len(book.runs())
