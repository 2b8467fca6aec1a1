"""Somebody who types into a draft: the program with its drafting screen, and both sides of it once all rests."""

from __future__ import annotations

import asyncio
import errno
import os
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from textual import events
from textual.pilot import Pilot

from clampbook.book.book import Book
from clampbook.screens.app import Clampbook
from clampbook.screens.draft import previewing
from clampbook.screens.draft.screen import Drafting

_PATIENCE = 4000  # milliseconds
QUICK = 0.02  # seconds, in place of what a person needs to be seen as resting

COVER = """\
format = 2
title = "Valve cover"
revision = "A"
unit = "N·m"
source = "invented"

[layout]
rows = ["1 2 3 4"]

[[group]]
name = "Cover bolts"
thread = "M6"
property_class = "8.8"
lubrication = "engine oil"
sequence = "spiral"
nut_factor = [0.16, 0.22]

[[stage]]
do = "tighten"
to = "9 N·m"
within = "±1 N·m"
"""


def full_disk(patch: pytest.MonkeyPatch) -> None:
    """From now on there is no room for a byte."""

    def refuse(*_: object) -> int:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    patch.setattr(os, "write", refuse)


@dataclass
class Draft:
    """The draft on the screen."""

    pilot: Pilot[Any]

    @property
    def app(self) -> Clampbook:
        """The program."""
        assert isinstance(self.pilot.app, Clampbook)
        return self.pilot.app

    @property
    def screen(self) -> Drafting:
        """The drafting screen, on top or below a question."""
        return next(each for each in reversed(self.app.screen_stack) if isinstance(each, Drafting))

    @property
    def text(self) -> str:
        """What stands in the text."""
        return self.screen.text

    @property
    def told(self) -> str:
        """What is told in a line below it."""
        return self.screen.notice

    @property
    def beside(self) -> str:
        """All rows of the other side."""
        return "\n".join(row.text for row in self.screen.beside.rows)

    async def press(self, *keys: str) -> None:
        """Press keys, and wait until all of it rests."""
        await self.pilot.press(*keys)
        await self.rested()

    async def type(self, text: str) -> None:
        """Type a text, sign by sign."""
        names = {" ": "space", "\n": "enter"}
        await self.press(*(names.get(sign, sign) for sign in text))

    async def paste(self, text: str) -> None:
        """Paste a text."""
        self.app.post_message(events.Paste(text))
        await self.pilot.pause()
        await self.rested()

    async def at(self, line: int, *, end: bool = True) -> None:
        """Go to a line."""
        self.screen.go_to(line)
        await self.press("end" if end else "home")

    async def rested(self) -> None:
        """Nothing is being made any more, and all is shown."""
        for _ in range(_PATIENCE):
            await asyncio.sleep(0.001)
            if self.app._exit or not any(isinstance(each, Drafting) for each in self.app.screen_stack):
                return
            if not self.screen.at_work and self.screen._message_queue.empty():
                break
        else:
            raise AssertionError("the draft does not come to rest")
        await self.pilot.pause()

    async def seen(self) -> str:
        """What stands on the screen."""
        await self.pilot.pause()
        lines = self.app.screen._compositor.render_strips()
        return "\n".join("".join(segment.text for segment in line).rstrip() for line in lines)


@asynccontextmanager
async def drafting(
    path: Path, book: Book | None = None, text: str | None = None, size: tuple[int, int] = (120, 36)
) -> AsyncIterator[Draft]:
    """The program on a draft, until the person leaves it."""
    calm, previewing.CALM = previewing.CALM, QUICK
    app = Clampbook(lambda app: Drafting(path, book, text, left=app.exit))
    try:
        async with app.run_test(size=size) as pilot:
            draft = Draft(pilot)
            await draft.rested()
            yield draft
    finally:
        previewing.CALM = calm
