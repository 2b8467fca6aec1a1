"""How the first page and each question about a new book look at the three sizes, and what must stand there."""

from __future__ import annotations

from collections.abc import Awaitable, Callable
from pathlib import Path

import pytest

from at_keyboard import Keyboard, Time
from at_looks import SIZES, Look, compared
from clampbook.book.book import Book
from clampbook.screens.app import Clampbook
from clampbook.screens.new_book.opening import first_page

USUAL = Path("/home/ines/.local/share/clampbook")
SAID = ("1", "", "Harbour museum", "Ines", "Jonas", "", "2", "2", "W2", "1", "2", "20", "100", "0.5", "2027-03-02")
W5 = ("W5", "2", "1", "4", "40", "0.1", "")


def after(*lines: str) -> Callable[[Keyboard], Awaitable[None]]:
    """A scene: all of these were answered."""

    async def scene(keyboard: Keyboard) -> None:
        for line in lines:
            await keyboard.type(line)

    return scene


async def gone_back(keyboard: Keyboard) -> None:
    """The scale's end was wrong, and is asked again."""
    await after(*SAID[:13])(keyboard)
    await keyboard.press("escape")


LOOKS = {
    "first page": Look(after(), ("You have no book yet.", "1 Make a book here", "2 Look at the demo", "3 Help")),
    "where": Look(after(*SAID[:1]), ("Where should the book be?", "Enter alone this folder", "Esc back")),
    "name": Look(after(*SAID[:2]), ("What is your workshop called?", "Enter alone “My workshop”")),
    "people": Look(after(*SAID[:3]), ("Who works here? Type a name.", "Enter alone people later")),
    "more people": Look(after(*SAID[:5]), ("Who else works here?", "people Ines, Jonas", "Enter alone nobody else")),
    "paper": Look(after(*SAID[:6]), ("Which paper", "1 A4", "2 Letter", "Enter alone A4")),
    "unit": Look(after(*SAID[:7]), ("Which torque unit", "1 N·m", "Enter alone leave it out")),
    "tool": Look(after(*SAID[:8]), ("Your first torque tool", "Enter alone tools later")),
    "kind": Look(after(*SAID[:9]), ("W2: which kind", "1 setting", "2 indicating", "1–2 or ↑↓ choose")),
    "scale unit": Look(after(*SAID[:10]), ("W2: which unit is on its scale?", "2 lbf·ft")),
    "start": Look(after(*SAID[:11]), ("W2: where does its scale start, in lbf·ft?",)),
    "end": Look(gone_back, ("W2: where does its scale end, in lbf·ft?", "text 100")),
    "refused": Look(after(*SAID[:12], "10"), ("W2: where does its scale end", "does not rise from 0 or more.")),
    "scale lines": Look(after(*SAID[:13]), ("W2: how far apart are its scale lines",)),
    "due": Look(after(*SAID[:14]), ("W2: on which day is its calibration due?", "Enter alone not known")),
    "second tool": Look(after(*SAID), ("Your second torque tool", "Enter alone no more tools now")),
    "sure": Look(after(*SAID, *W5), ("Make this book?", "1 make this book", "2 leave: nothing is saved")),
}


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
@pytest.mark.parametrize("name", LOOKS)
def test_of_a_new_book(snap_compare: Callable[..., bool], time: Time, name: str, size: tuple[int, int]) -> None:
    """The question stands first, what was said below it, and the field and the keys are never pushed off."""
    app = Clampbook(lambda app: first_page(app, USUAL, lambda: Book.open(USUAL), clock=time))

    alike, shown = compared(snap_compare, app, time, size, LOOKS[name].scene)

    assert [] == [word for word in LOOKS[name].words if word not in shown], shown
    assert alike
