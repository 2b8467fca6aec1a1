"""How people and keys, and releases, look at the three sizes: a picture that was looked at, and what it must show."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from at_keyboard import Keyboard, Time
from at_looks import SIZES, Look, compared, in_utc
from at_tools import choose, rested
from clampbook.book.book import Book
from clampbook.screens.app import Clampbook
from clampbook.screens.at_the_bench import bench
from sealing import shop


async def people(keyboard: Keyboard) -> None:
    """Nobody has a key yet."""
    await rested(keyboard)
    await choose(keyboard, "People and keys")


async def new_key(keyboard: Keyboard) -> None:
    """A passphrase is half typed, the second time."""
    await people(keyboard)
    await choose(keyboard, "Ines")
    await keyboard.type("four little words")
    await keyboard.type("four", enter=False)


async def releases(keyboard: Keyboard) -> None:
    """One draft."""
    await rested(keyboard)
    await choose(keyboard, "Procedures")


async def unusual(keyboard: Keyboard) -> None:
    """A unusual is to be answered first."""
    await releases(keyboard)
    await choose(keyboard, "Valve cover")
    await keyboard.press("2", "enter")


async def given(keyboard: Keyboard) -> None:
    """All is said, and is read before it is given."""
    await unusual(keyboard)
    for _ in range(3):
        await keyboard.press("1", "enter")
        await keyboard.type("the sheet has it so")
    await keyboard.type("Sheet 3, issue 2")
    await keyboard.press("1", "enter")
    await keyboard.press("enter")


LOOKS = {
    "people": Look(people, ("Whose key?", "1 Ines · no key: the name is typed", "3 Someone new")),
    "new key": Look(new_key, ("Type it again.", "passphrase ••••", "Enter save")),
    "releases": Look(releases, ("Which procedure", "1 Valve cover · revision A, draft")),
    "unusual": Look(unusual, ("Query 1 of 3:", "1 yes, and why")),
    "given": Look(given, ("Maud, read this.", "word", "Not done yet. Type release", "Enter release")),
}


@pytest.fixture
def book(tmp_path: Path) -> Iterator[Book]:
    """A book with one draft and two people, in a place whose clocks show UTC."""
    with in_utc() as patch:
        patch.setattr("clampbook.book.new_book.drawn", lambda: "b00k2345")
        yield shop(tmp_path / "book", keys=False).book


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
@pytest.mark.parametrize("name", LOOKS)
def test_of_the_book(
    snap_compare: Callable[..., bool], book: Book, time: Time, name: str, size: tuple[int, int]
) -> None:
    """What is asked stands first, and the field and the keys are never pushed off."""
    app = Clampbook(lambda app: bench(app, book, time))

    alike, shown = compared(snap_compare, app, time, size, LOOKS[name].scene)

    assert [] == [word for word in LOOKS[name].words if word not in shown], shown
    assert alike
