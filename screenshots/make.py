"""Makes the pictures in this folder anew, from real runs of the demo: python screenshots/make.py

A book in a temporary folder, a clock that stands still between two keys, and a person who walks the Whinchat's head.
"""

from __future__ import annotations

import asyncio
import os
import random
import tempfile
import time
from collections.abc import Callable
from datetime import date, datetime, timedelta, timezone
from pathlib import Path
from unittest import mock

import beginnings
import checking
import on_paper
import printed
from album import Album, at_the_bench, begin, choose
from clampbook import demo
from clampbook.book.book import Book
from clampbook.run import prompts as ask
from keyboard import Clock, Keyboard

HOME = timezone(timedelta(hours=1))
MORNING = datetime(2026, 3, 3, 9, 0, tzinfo=HOME)


async def earlier(book: Book) -> None:
    """What was done in the weeks before."""
    async with at_the_bench(book, datetime(2026, 2, 9, 14, 5, tzinfo=HOME)) as keyboard:
        await begin(keyboard, "coupling", "Maud")
        await keyboard.to_the_end()
    async with at_the_bench(book, datetime(2026, 2, 27, 16, 20, tzinfo=HOME)) as keyboard:
        await begin(keyboard, "caps", "Tomas")
        await keyboard.until(ask.Measure, "1.1/6")
        await keyboard.work("*", "0", "enter")


async def head(book: Book) -> None:
    """The walk of the pictures."""
    async with at_the_bench(book, datetime(2026, 3, 2, 9, 0, tzinfo=HOME)) as keyboard:
        album = Album(keyboard)
        await album.take("bench")
        await begin(keyboard, "head", "Ines")
        await keyboard.answer()
        await keyboard.answer()
        await album.take("start-sheet")
        await keyboard.until(ask.TakeTool)
        await keyboard.work("2", "enter")
        await keyboard.until(ask.Tighten, "1.1/6")
        await album.take("walk-setting-tool")
        await album.take("zoomed", 40, 15)
        await the_film(keyboard, album)
        await keyboard.work(*"27.4", "enter")
        await keyboard.work(*"29.4")
        await album.take("walk-indicating-tool", 120, 36)
        await keyboard.press("enter")
        await keyboard.until(ask.Turn, "5.1/6")
        await keyboard.work(*"97", "enter")
        await keyboard.work("3", "enter", "1", "enter", "4", "enter")
        await keyboard.until(ask.Turn, "5.1/8")
        await keyboard.work(*"46", "enter")
        await keyboard.press("f4")
        await album.take("bright-shop")
        await keyboard.press("f4")
        await keyboard.until(ask.Inspect, "9.1/-")
        await keyboard.work("1")
        await album.take("hold-point")
        await keyboard.press("enter")
        await keyboard.work("4", "enter")
        await keyboard.to_the_end()


async def the_film(keyboard: Keyboard, album: Album) -> None:
    """From a click to a bolt that is over, and on; the first frame is a good picture alone."""
    await album.frame()
    await keyboard.answer()
    await album.frame()
    await keyboard.until(ask.SetTool, "3.1/1")
    await keyboard.work("*", "8", "enter", "2")
    await album.frame()
    await keyboard.press("enter")
    await keyboard.almost()
    await album.frame()
    await keyboard.press("enter")
    await album.frame()
    await keyboard.almost()
    await album.frame()
    await keyboard.press("enter")
    await album.frame()
    await keyboard.until(ask.Tighten, "3.1/4")
    await keyboard.work(*"32.0")
    await album.frame()
    await keyboard.press("enter")
    await album.take("over")
    await keyboard.work("1")
    await album.frame(3.0)
    await keyboard.press("enter", "1", "enter")
    await album.frame()
    await keyboard.until(ask.Tighten, "3.1/5")
    await album.frame()
    await keyboard.until(ask.Tighten, "3.1/8")
    await album.frame(3.0)
    album.film("walk")


async def tools(book: Book) -> None:
    """One tool with its checks, and a check of it in two ways of pulling."""
    person = next(one for one in book.people() if one.name == "Maud")
    for month, percent in ((5, "0.6"), (7, "1.1"), (9, "1.9"), (11, "2.4")):
        clock = Clock(datetime(2026, month, 4, 8, 30, tzinfo=HOME))
        checking.earlier(book, clock, "w5", person, percent)
    async with at_the_bench(book, datetime(2026, 12, 1, 8, 30, tzinfo=HOME)) as keyboard:
        album = Album(keyboard)
        await choose(keyboard, "7 tools")
        await album.take("tools")
        await choose(keyboard, "W5")
        await keyboard.pilot.app.workers.wait_for_complete()
        await album.take("one-tool", 120, 36)
        await choose(keyboard, "Check")
        await keyboard.press(str(demo.PEOPLE.index("Maud") + 1), "enter", "2", "enter", "1", "enter", "1", "enter")
        await checking.pull_on(keyboard, 22, {"slow": "1.6", "quick": "3.3"})
        await keyboard.work(*"78.4")
        await album.take("check")
        await keyboard.work("enter")


def draw_in_turn() -> Callable[[], str]:
    """What is drawn by lot elsewhere, here the same each time."""
    letters = random.Random(7)
    return lambda: "".join(letters.choices("abcdefghijklmnopqrstuvwxyz234567", k=8))


def main() -> None:
    """Make all pictures."""
    os.environ["TZ"] = "CET-1"
    time.tzset()
    draw = draw_in_turn()
    with (
        tempfile.TemporaryDirectory(prefix="clampbook-") as folder,
        mock.patch.dict(os.environ, {"XDG_STATE_HOME": str(Path(folder) / "state")}),  # copies of drafts
        mock.patch("clampbook.run_folder.drawn", draw),
        mock.patch("clampbook.book.new_book.drawn", draw),
    ):
        book, _ = demo.make(Path(folder) / "book", date(2026, 3, 2))
        asyncio.run(earlier(book))
        asyncio.run(head(book))
        asyncio.run(on_paper.due(book, datetime(2026, 3, 16, 8, 30, tzinfo=HOME)))
        asyncio.run(tools(book))
        printed.report(next(run.path for run in book.runs() if demo.HEAD in run.id))
        another, _ = demo.make(Path(folder) / "another", date(2026, 3, 2))
        asyncio.run(beginnings.first(another, MORNING))
        asyncio.run(beginnings.a_topic(another, MORNING))
        asyncio.run(on_paper.typed_in(another, MORNING))
        asyncio.run(beginnings.new_procedure(another, MORNING))
        printed.form(another, MORNING)
        toured, _ = demo.make(Path(folder) / "toured", date(2026, 3, 2))  # no run of the head is open there
        asyncio.run(beginnings.a_note(toured, MORNING))


if __name__ == "__main__":
    main()
