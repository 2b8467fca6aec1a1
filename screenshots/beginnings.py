"""The pictures of what one begins with: no book yet, a new procedure, its text, and the help."""

from __future__ import annotations

import asyncio
from datetime import datetime
from pathlib import Path

from album import Album, at_screen, at_the_bench, begin, choose
from clampbook.book.book import Book
from clampbook.demo import HEAD
from clampbook.run import prompts as ask
from clampbook.screens.app import Clampbook
from clampbook.screens.draft.screen import Drafting
from clampbook.screens.new_book.opening import first_page
from clampbook.screens.tour.touring import Tour, TourNote
from keyboard import Keyboard

USUAL = Path("/home/ines/.local/share/clampbook")  # where no book is
JOINT = ("Gearbox flange", "Flange bolts", "8", "1")
FASTENERS = ("M12", "8.8", "dry", "0.16, 0.22")
TORQUES = ("70 Nm", "1", "+-5%", "")
AFTERWARDS = ("", "1", "", "", "Workshop sheet 21 (invented)", "A")
TORQUE = "70 N"
LESS_SHARP = 1.1


async def first(book: Book, begun: datetime) -> None:
    """The first page of somebody who has no book."""
    async with at_screen(begun, lambda app, clock: first_page(app, USUAL, lambda: book, clock=clock)) as keyboard:
        await Album(keyboard).take("first-page")


async def a_note(book: Book, begun: datetime) -> None:
    """A note of the tour beside the first bolt of the head."""
    async with at_the_bench(book, begun) as keyboard:
        app = keyboard.pilot.app
        assert isinstance(app, Clampbook)
        await begin(keyboard, "head", "Ines")
        await keyboard.until(ask.SetTool)
        app.tour = Tour(HEAD)
        await keyboard.answer()
        assert isinstance(app.screen, TourNote), app.screen
        await Album(keyboard).take("tour")
        await keyboard.press("0")


async def new_procedure(book: Book, begun: datetime) -> None:
    """The questions about a flange as far as its order, and the text that comes of them, with a torque far too high."""
    async with at_the_bench(book, begun) as keyboard:
        album = Album(keyboard)
        await choose(keyboard, "Start a new procedure")
        await typed(keyboard, *JOINT, *FASTENERS, *TORQUES, "1")
        await album.take("new-procedure", 100, 30)
        await typed(keyboard, *AFTERWARDS)
        await keyboard.press("enter")
        await keyboard.size(140, 40)
        await far_too_high(keyboard)
        await album.take("drafting", 140, 40, LESS_SHARP)


async def far_too_high(keyboard: Keyboard) -> None:
    """A 1 before the torque, and what stands beside it is renewed."""
    screen = keyboard.pilot.app.screen
    assert isinstance(screen, Drafting), screen
    lines = screen.sheet_text.text.splitlines()
    line = next(number for number, text in enumerate(lines) if TORQUE in text)
    await keyboard.press(*["down"] * line, "home", *["right"] * lines[line].index(TORQUE), "1")
    while screen.at_work:
        await asyncio.sleep(0.05)
    await keyboard.pilot.pause()


async def typed(keyboard: Keyboard, *lines: str) -> None:
    """Each line with its Enter."""
    for line in lines:
        await keyboard.press(*line, "enter")


async def a_topic(book: Book, begun: datetime) -> None:
    """The help about sequences, from the bench."""
    async with at_the_bench(book, begun) as keyboard:
        await keyboard.press("f1", "f1", "4", "enter")
        await Album(keyboard).take("help-topic", 80, 32)
