"""How the tools and a tool check look at the three sizes: a picture that was looked at, beside what it must show."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterator
from decimal import Decimal
from pathlib import Path

import pytest

from at_checks import answered_at_once, checked, pull_on
from at_keyboard import Keyboard, Time, named
from at_looks import SIZES, Look, compared, in_utc
from at_tools import choose, made, rested
from clampbook.book.book import Book
from clampbook.check import prompts as ask
from clampbook.screens.app import Clampbook
from clampbook.screens.at_the_bench import bench

A_MONTH = 40 * 86_400  # seconds
WAYS = ("slow", "quick")


async def shelf(keyboard: Keyboard) -> None:
    """The list of tools."""
    await rested(keyboard)
    await choose(keyboard, "7 tools")
    await rested(keyboard)


async def one_tool(keyboard: Keyboard) -> None:
    """A tool that failed its last check."""
    await shelf(keyboard)
    await choose(keyboard, "W5")
    await rested(keyboard)


async def form(keyboard: Keyboard) -> None:
    """Its entry, with a slip half typed."""
    await one_tool(keyboard)
    await choose(keyboard, "Edit")
    await keyboard.press("down", "down", "down", "right", "x")


async def new_tool(keyboard: Keyboard) -> None:
    """A kind is to be chosen."""
    await shelf(keyboard)
    await choose(keyboard, "Add a tool")
    await keyboard.type("W11")
    await keyboard.press("enter")


async def withdrawing(keyboard: Keyboard) -> None:
    """Why?"""
    await one_tool(keyboard)
    await choose(keyboard, "Take out")


async def beginning(keyboard: Keyboard) -> None:
    """How is it to be pulled?"""
    await one_tool(keyboard)
    await choose(keyboard, "Check")
    await keyboard.press("1", "enter")


async def touched(keyboard: Keyboard) -> None:
    """What it touched since it was last good."""
    await one_tool(keyboard)
    await choose(keyboard, "List affected")
    await rested(keyboard)


async def loading(keyboard: Keyboard) -> None:
    """Loaded to its maximum beforehand."""
    await pull_on(keyboard, ask.Exercise)


async def pulling(keyboard: Keyboard) -> None:
    """The second point, its reading half typed."""
    await pull_on(keyboard, ask.Pull, times=8, off="1.02")
    await keyboard.type("79", enter=False)


async def beyond(keyboard: Keyboard) -> None:
    """The last pull was beyond what is permitted."""
    await pull_on(keyboard, ask.Pull, times=8, off="1.02")
    await keyboard.type("76.9")


async def unusual(keyboard: Keyboard) -> None:
    """Far off: number and unit once more."""
    await pull_on(keyboard, ask.Pull)
    await keyboard.type("20")


async def menu(keyboard: Keyboard) -> None:
    """All else."""
    await pull_on(keyboard, ask.Pull, times=2)
    await keyboard.press("*")


async def two_ways(keyboard: Keyboard) -> None:
    """Both ways of pulling beside each other, and what to do about it."""
    await pull_on(keyboard, ask.Pull, times=16, off="1.01")
    await pull_on(keyboard, ask.Adjust, off="1.03")


async def ended(keyboard: Keyboard) -> None:
    """What it came to."""
    await pull_on(keyboard, ask.Ended, off="1.08")
    await rested(keyboard)


TOOLS = {
    "list": Look(shelf, ("Which tool or adapter?", "out of service: failed")),
    "one tool": Look(one_tool, ("W5, indicating tool, 10–100 lbf·ft: out of service", "1 Check against a reference")),
    "form": Look(form, ("▸ scale from", "! “lbf·ftx” is not", "End save or discard")),
    "new tool": Look(new_tool, ("▸ kind", "1 setting", "name W11")),
    "withdrawing": Look(withdrawing, ("Why take W5 out of service?", "1 dropped")),
    "beginning a check": Look(beginning, ("Which technique first?", "1 slow")),
    "touched": Look(touched, ("Affected work of W5", "found it off by +6.60 %", "To print this list")),
}
CHECKS = {
    "loading": Look(loading, ("Exercise W5", "+ done", "1 of 1")),
    "pulling": Look(pulling, ("of 5 readings", "R1 shows 79", "Bring W5 to 60 lbf·ft")),
    "beyond": Look(beyond, ("of 5 readings", "% !:")),
    "unusual": Look(unusual, ("number and unit", "Type it again, with its unit")),
    "something else": Look(menu, ("Other actions", "0 Pause", "2 Void the last pull")),
    "two ways": Look(two_ways, ("Passed ●: W5 as found", "2 It was adjusted", "quick, clockwise", "It was adjusted")),
    "end": Look(ended, ("Failed !: W5.", "Record: checks/", "Enter leave")),
}


@pytest.fixture(scope="module")
def kept(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo book, made once."""
    folder = tmp_path_factory.mktemp("looks") / "book"
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("clampbook.book.new_book.drawn", lambda: "b00k2345")
        made(folder)
    return folder


@pytest.fixture
def book(kept: Path, tmp_path: Path) -> Iterator[Book]:
    """A copy of it, in which checks are called alike but for a number, in a place whose clocks show UTC."""
    shutil.copytree(kept, tmp_path / "book")
    names = (f"k7q2m4x{letter}" for letter in "abcdefg")
    with in_utc() as patch:
        # the head of the log that is shown depends on every byte of the report, and so on the typesetter's version
        patch.setattr("clampbook.record.checks.report.typeset", lambda *_, **__: b"%PDF-1.7 as it was printed")
        patch.setattr("clampbook.run_folder.drawn", lambda: next(names))
        yield Book.open(tmp_path / "book")


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
class TestEveryScreen:
    """Zoomed until it reads from two metres, usual, and large."""

    @pytest.mark.parametrize("name", TOOLS)
    def test_of_the_tools(
        self, snap_compare: Callable[..., bool], book: Book, time: Time, name: str, size: tuple[int, int]
    ) -> None:
        """A book in which W5 was checked three times, and failed the last of them."""
        for off in ("1.01", "1.025", "1.07"):
            _earlier(book, time, off)
        app = Clampbook(lambda app: bench(app, book, time))

        alike, shown = compared(snap_compare, app, time, size, TOOLS[name].scene)

        assert [] == [word for word in TOOLS[name].words if word not in shown], shown
        assert alike

    @pytest.mark.parametrize("name", CHECKS)
    def test_of_a_check(
        self, snap_compare: Callable[..., bool], book: Book, time: Time, name: str, size: tuple[int, int]
    ) -> None:
        """One sentence first, then the number for the hand, then the picture where there is room."""
        app = checked(book, time, "w5", named(book, "Ines"), techniques=WAYS)

        alike, shown = compared(snap_compare, app, time, size, CHECKS[name].scene)

        assert [] == [word for word in CHECKS[name].words if word not in shown], shown
        assert alike


def _earlier(book: Book, time: Time, off: str) -> None:
    """A check of three pulls, some weeks before the next one."""
    answered_at_once(book, time, "w5", Decimal(off))
    time.seconds += A_MONTH
