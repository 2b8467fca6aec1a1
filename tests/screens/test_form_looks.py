"""How the screens of a paper form that is typed in look at the three sizes, from the bench to its sign-off."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterator
from datetime import timedelta
from pathlib import Path

import pytest

from at_keyboard import START, Keyboard, Time, named, onward
from at_looks import SIZES, Look, compared, in_utc
from at_tools import choose, rested
from bench import steady
from clampbook import demo
from clampbook.book.book import Book
from clampbook.book.starting.of_the_form import revisions
from clampbook.book.starting.terms import work_named
from clampbook.ledger.stamp import there_at
from clampbook.run import answers as a
from clampbook.run import prompts as ask
from clampbook.screens.app import Clampbook
from clampbook.screens.at_the_bench import bench
from clampbook.screens.opening import Wanted, begin
from clampbook.screens.paper_form import PaperForm
from museum import museum


async def time_of_a_round(keyboard: Keyboard) -> None:
    """From when the first round was done."""
    await onward(keyboard, ask.PaperTime)


async def initials(keyboard: Keyboard) -> None:
    """Whose stand beside it."""
    await time_of_a_round(keyboard)
    await keyboard.type("9:14")


async def tool(keyboard: Keyboard) -> None:
    """Which one stands on the form."""
    await onward(keyboard, ask.TakeTool)


async def row(keyboard: Keyboard) -> None:
    """The third row, which has a time of its own, half typed."""
    await onward(keyboard, ask.Tighten, times=3)
    await keyboard.type("@9:20 +", enter=False)


async def over(keyboard: Keyboard) -> None:
    """A turn was over."""
    await onward(keyboard, ask.Turn, times=2)
    await keyboard.type("97")


async def measure(keyboard: Keyboard) -> None:
    """A gap between two stages."""
    await onward(keyboard, ask.Measure)


async def name_on_form(keyboard: Keyboard) -> None:
    """Whose name stands there; nothing stands in any of the rows."""
    gathering, rows = keyboard.walk.gathering, ask.Tighten | ask.Turn | ask.Recheck | ask.Measure
    while not isinstance(gathering.prompt, ask.SignOff):
        keyboard.walk.taken.know_tools()
        blank = isinstance(gathering.prompt, rows)
        assert gathering.answer(a.Blank() if blank else steady(gathering.prompt)), gathering.notice
    keyboard.walk.next_question()
    await keyboard.seen_to()


ROWS = {
    "time": Look(time_of_a_round, ("what time stands at From", "as before", "no time stands there")),
    "initials": Look(initials, ("Whose initials stand there?", "1 Ines")),
    "tool": Look(tool, ("which tool stands on the form?", "W1", "none stands there")),
    "row": Look(row, ("olt 3", "what stands on the form?", "@9:20 +", "a ring or tick")),
    "over": Look(over, ("is over: 97°", "What does the form say was done?")),
    "measure": Look(measure, ("what stands on the form?", "1.10", "1.30")),
    "sign-off": Look(name_on_form, ("whose name stands on the form?", "no name stands there")),
}


async def forms(keyboard: Keyboard) -> None:
    """Each procedure, to type in or to print."""
    await rested(keyboard)
    await choose(keyboard, "Paper forms")


async def scan(keyboard: Keyboard) -> None:
    """All is known of the form but for its scan."""
    await forms(keyboard)
    await keyboard.press("1", "enter", "1", "enter", "1", "enter")
    await keyboard.type("2026-02-27 8:10")
    await keyboard.press("-", "enter")


BENCH = {
    "forms": Look(forms, ("Which form?", "Type in a filled form", "1 ")),
    "scan": Look(scan, ("A scan of the form?", "- no scan")),
}


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo book, made once."""
    folder = tmp_path_factory.mktemp("form_looks") / "book"
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("clampbook.book.new_book.drawn", lambda: "b00k2345")
        museum(folder)
    return folder


@pytest.fixture
def book(made: Path, tmp_path: Path) -> Iterator[Book]:
    """A copy of it, in which every run is called alike, in a place whose clocks show UTC."""
    shutil.copytree(made, tmp_path / "book")
    with in_utc() as patch:
        patch.setattr("clampbook.run_folder.drawn", lambda: "k7q2m4xa")
        yield Book.open(tmp_path / "book")


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
class TestAForm:
    """Zoomed until it reads from two metres, usual, and large."""

    @pytest.mark.parametrize("name", ROWS)
    def test_that_is_typed_in(
        self, snap_compare: Callable[..., bool], book: Book, time: Time, name: str, size: tuple[int, int]
    ) -> None:
        """What stands there is asked, and nobody is told to work."""
        work = work_named(book, demo.HEAD)
        form = PaperForm(revisions(book, work), time.now(), there_at(time), 0, began=START - timedelta(days=1))
        wanted = Wanted(work=work, person=named(book, "Ines"), trial=False, form=form)
        app = Clampbook(lambda app: begin(app, book, time, wanted))

        alike, shown = compared(snap_compare, app, time, size, ROWS[name].scene)

        assert [] == [word for word in ROWS[name].words if word not in shown], shown
        assert alike

    @pytest.mark.parametrize("name", BENCH)
    def test_from_the_bench(
        self, snap_compare: Callable[..., bool], book: Book, time: Time, name: str, size: tuple[int, int]
    ) -> None:
        """Before its run exists."""
        app = Clampbook(lambda app: bench(app, book, time))

        alike, shown = compared(snap_compare, app, time, size, BENCH[name].scene)

        assert [] == [word for word in BENCH[name].words if word not in shown], shown
        assert alike
