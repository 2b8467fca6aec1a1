"""A person at the tools of the demo book."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from datetime import date
from pathlib import Path

from at_keyboard import START, Keyboard, at_the_bench, seen
from clampbook.book.book import Book
from clampbook.screens.questions import Questions
from museum import museum

TODAY: date = START.date()


@asynccontextmanager
async def at_the_tools(book: Book, *, size: tuple[int, int] = (80, 24)) -> AsyncIterator[Keyboard]:
    """The list of tools, opened from the bench."""
    async with at_the_bench(book, size=size) as keyboard:
        await rested(keyboard)
        await choose(keyboard, "7 tools")
        yield keyboard


async def rested(keyboard: Keyboard) -> str:
    """What stands on the screen once all that takes a moment was done."""
    await keyboard.app.workers.wait_for_complete()
    await keyboard.drawn()
    return " ".join(seen(keyboard).split())


async def choose(keyboard: Keyboard, begins: str) -> None:
    """The line that begins with this, by its number."""
    screen = keyboard.app.screen
    assert isinstance(screen, Questions), screen
    number = next(choice.key for choice in screen.part.choices if choice.text.startswith(begins))
    await keyboard.press(*number)
    waits = screen.is_current and screen.field == number
    if waits:
        await keyboard.press("enter")
    await keyboard.drawn()


def tools_text(book: Book) -> str:
    """The file of tools as it stands."""
    return book.path("tools.toml").read_text(encoding="utf-8")


def made(folder: Path) -> Book:
    """The demo book, whose tools were calibrated two months ago."""
    return museum(folder)
