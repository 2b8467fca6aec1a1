"""The pictures of work on paper: the forms of a book, one of them typed in; and what is due."""

from __future__ import annotations

import asyncio
from datetime import datetime

from album import SHEETS, Album, at_the_bench, choose
from clampbook.book.book import Book
from clampbook.run import prompts as ask
from clampbook.screens.bench import Bench
from keyboard import Keyboard

W5 = "3"  # among the tools of the first stage
FIRST_FIVE = ("22.0", "22.3", "22.1", "21.9", "22.4")
SIXTH = "@8:31 22.2"  # it has a time of its own


async def typed_in(book: Book, begun: datetime) -> None:
    """A form of the head that Ines has filled, as far as its sixth bolt; Maud types."""
    async with at_the_bench(book, begun) as keyboard:
        album = Album(keyboard)
        await choose(keyboard, "Paper forms")
        await album.take("paper-forms")
        await choose(keyboard, SHEETS["head"])
        await lines(keyboard, "Maud", "1", f"{begun:%Y-%m-%d} 8:10", "-", "1")
        while isinstance(keyboard.prompt, ask.StartSheet):
            await keyboard.answer()
        await lines(keyboard, "8:25", "1", W5, "1", *FIRST_FIVE)
        assert isinstance(keyboard.prompt, ask.Tighten) and keyboard.prompt.where.id == "1.1/6", keyboard.prompt
        await keyboard.press(*SIXTH)
        await album.take("form-row")


async def due(book: Book, begun: datetime) -> None:
    """All that is due, a fortnight after the head was tightened."""
    async with at_the_bench(book, begun) as keyboard:
        await all_listed(keyboard)
        await choose(keyboard, "Sort this list")
        await Album(keyboard).take("due")


async def all_listed(keyboard: Keyboard) -> None:
    """What is due takes a moment to be read."""
    screen = keyboard.pilot.app.screen
    assert isinstance(screen, Bench), screen
    while not screen.standing.due:
        await asyncio.sleep(0.05)
    await keyboard.pilot.pause()


async def lines(keyboard: Keyboard, *typed: str) -> None:
    """Each with its Enter."""
    for line in typed:
        await keyboard.press(*line, "enter")
