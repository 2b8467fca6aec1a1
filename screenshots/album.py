"""The program at a bench, and the pictures that are taken of it: still ones, and one that moves."""

from __future__ import annotations

from collections.abc import AsyncIterator, Callable, Iterator
from contextlib import asynccontextmanager, contextmanager
from datetime import datetime
from pathlib import Path
from unittest import mock

from textual.screen import Screen

from clampbook import demo
from clampbook.book.book import Book
from clampbook.screens import bench as bench_screen
from clampbook.screens import theme
from clampbook.screens.app import Clampbook
from clampbook.screens.at_the_bench import bench
from clampbook.screens.keyboard import Hands
from clampbook.screens.questions import Questions
from drawing import Ground, moving, png, svg
from keyboard import Clock, Keyboard

HERE = Path(__file__).parent
SHEETS = {"coupling": "Coupling", "caps": "Main bearing", "head": "Cylinder head"}
SHARP = 1.6  # points of a picture for one of its units


class Album:
    """The pictures of one program."""

    def __init__(self, keyboard: Keyboard) -> None:
        self._keyboard = keyboard
        self._frames: list[tuple[bytes, float]] = []

    async def take(self, name: str, columns: int = 80, rows: int = 24, sharp: float = SHARP) -> None:
        """The screen as it is, at a size."""
        await self._keyboard.size(columns, rows)
        picture = self._drawn(columns)
        (HERE / f"{name}.svg").write_text(picture, encoding="utf-8")
        (HERE / f"{name}.png").write_bytes(png(picture, sharp))
        await self._keyboard.size(80, 24)

    async def frame(self, seconds: float = 2.0) -> None:
        """The screen as it is, for so long, in the picture that moves."""
        await self._keyboard.size(80, 24)
        self._frames.append((png(self._drawn(80), SHARP), seconds))

    def film(self, name: str) -> None:
        """All frames so far as one picture that moves."""
        (HERE / f"{name}.gif").write_bytes(moving(self._frames))
        self._frames.clear()

    def _drawn(self, columns: int) -> str:
        app = self._keyboard.pilot.app
        tones = theme.TONES[app.theme]
        ground = Ground(tones["ink"], tones["ground"], tones["raised"], tones["quiet"])
        return svg(app.screen._compositor.render_strips(), columns, ground, app.title)


@contextmanager
def still(clock: Clock) -> Iterator[None]:
    """Keys are stamped by the same clock as the work."""
    with mock.patch.object(Hands, "now", staticmethod(clock.stopwatch)):
        yield


@asynccontextmanager
async def at_screen(begun: datetime, first: Callable[[Clampbook, Clock], Screen[None]]) -> AsyncIterator[Keyboard]:
    """The program with its first screen, at a time."""
    clock = Clock(begun)
    with still(clock):
        app = Clampbook(lambda app: first(app, clock))
        async with app.run_test(size=(80, 24)) as pilot:
            await app.workers.wait_for_complete()
            await pilot.pause()
            yield Keyboard(pilot, clock)
            await app.workers.wait_for_complete()
            app.leave_run()


@asynccontextmanager
async def at_the_bench(book: Book, begun: datetime) -> AsyncIterator[Keyboard]:
    """The program at the bench of a book, at a time."""
    async with at_screen(begun, lambda app, clock: bench(app, book, clock)) as keyboard:
        yield keyboard


async def begin(keyboard: Keyboard, sheet: str, person: str) -> None:
    """Choose a procedure at the bench, and say who is there."""
    assert isinstance(keyboard.pilot.app.screen, bench_screen.Bench)
    await choose(keyboard, SHEETS[sheet])
    await keyboard.press(str(demo.PEOPLE.index(person) + 1), "enter")
    if not keyboard.walks:
        await keyboard.press("1", "enter")  # final, not a trial


async def choose(keyboard: Keyboard, begins: str) -> None:
    """The line of a list that begins so."""
    screen = keyboard.pilot.app.screen
    assert isinstance(screen, Questions)
    await keyboard.press(*next(line.key for line in screen.part.choices if line.text.startswith(begins)), "enter")
