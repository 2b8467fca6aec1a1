"""How every screen looks at the three sizes: a picture that was looked at, beside what it must show."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from at_keyboard import Keyboard, Time, named, onward
from at_looks import SIZES, Look, compared, in_utc
from clampbook import demo
from clampbook.book.book import Book
from clampbook.book.starting.terms import work_named
from clampbook.run import prompts as ask
from clampbook.screens.app import Clampbook
from clampbook.screens.at_the_bench import bench
from clampbook.screens.opening import Wanted, begin
from museum import museum


async def start_sheet(keyboard: Keyboard) -> None:
    """The cautions are read and the serial number is half typed."""
    await keyboard.press("+")
    await keyboard.type("C 47", enter=False)


async def taking(keyboard: Keyboard) -> None:
    """Which tool?"""
    await onward(keyboard, ask.TakeTool)


async def setting(keyboard: Keyboard) -> None:
    """What does its scale show?"""
    await onward(keyboard, ask.SetTool)


async def click(keyboard: Keyboard) -> None:
    """The third bolt with a setting tool."""
    await onward(keyboard, ask.Tighten, times=3)


async def reading(keyboard: Keyboard) -> None:
    """The fourth bolt with an indicating tool, its reading half typed."""
    await click(keyboard)
    await keyboard.press("*", "8", "enter", "2", "enter", "1", "enter")
    await keyboard.slow_pull()
    await keyboard.type("22.1")
    await keyboard.type("22", enter=False)


async def decision(keyboard: Keyboard) -> None:
    """A reading was over."""
    await reading(keyboard)
    await keyboard.slow_pull()
    await keyboard.press("backspace")
    await keyboard.type("4.3")


async def something_else(keyboard: Keyboard) -> None:
    """The menu of other actions."""
    await click(keyboard)
    await keyboard.press("*")


async def skip(keyboard: Keyboard) -> None:
    """Why is it skipped?"""
    await click(keyboard)
    await keyboard.press("*", "3", "enter")


async def turn(keyboard: Keyboard) -> None:
    """A turn with a gauge."""
    await onward(keyboard, ask.Turn, times=2)


async def measure(keyboard: Keyboard) -> None:
    """A gate between two stages."""
    await onward(keyboard, ask.Measure)


async def wait(keyboard: Keyboard) -> None:
    """The gasket settles."""
    await onward(keyboard, ask.Wait)


async def hold_point(keyboard: Keyboard) -> None:
    """Another person looks, and signs by typed name."""
    await onward(keyboard, ask.Wait)
    await onward(keyboard, ask.Inspect)
    await keyboard.press("1", "enter")


async def sign_off(keyboard: Keyboard) -> None:
    """Who signs?"""
    await onward(keyboard, ask.SignOff)


async def end(keyboard: Keyboard) -> None:
    """The run is closed, and where its record is."""
    await onward(keyboard, ask.Finished)
    await keyboard.press("1", "enter")
    await keyboard.app.workers.wait_for_complete()
    await keyboard.seen_to()


async def explained(keyboard: Keyboard) -> None:
    """F1 on a pull."""
    await click(keyboard)
    await keyboard.press("f1")


async def all_actions(keyboard: Keyboard) -> None:
    """F2, and some letters typed."""
    await click(keyboard)
    await keyboard.press("f2")
    await keyboard.type("the", enter=False)


async def map_in_words(keyboard: Keyboard) -> None:
    """F2, and the map as it is read out."""
    await click(keyboard)
    await keyboard.press("f2")
    await keyboard.type("words")


async def inspection(keyboard: Keyboard) -> None:
    """A hold point before its answer."""
    await onward(keyboard, ask.Wait)
    await onward(keyboard, ask.Inspect)


async def remainder(keyboard: Keyboard) -> None:
    """A turn that fell short."""
    await turn(keyboard)
    await keyboard.slow_pull()
    await keyboard.type("46")


async def under(keyboard: Keyboard) -> None:
    """A reading that stayed under."""
    await reading(keyboard)
    await keyboard.slow_pull()
    await keyboard.press("backspace", "backspace")
    await keyboard.type("19")


async def left_out(keyboard: Keyboard) -> None:
    """An item of the sheet that is not required."""
    await start_sheet(keyboard)
    await keyboard.press("enter", "-", "enter")


async def procedure(keyboard: Keyboard) -> None:
    """The procedure as it is walked."""
    await keyboard.press("f2")
    await keyboard.type("procedure")


WALKS = {
    "start sheet": Look(start_sheet, ("Engine serial number?", "C 47")),
    "leaving out": Look(left_out, ("Work order", "left out", "Engine hours?")),
    "taking a tool": Look(taking, ("Pick up a torque tool", "1 W1")),
    "setting": Look(setting, ("Set W1 to 30 N·m", "on W1")),
    "click": Look(click, ("olt 3", "+ clicked")),
    "reading": Look(reading, ("olt 4", "reading 22", "Within ●")),
    "under": Look(under, ("under. Pull W5 up to", "Under ▄")),
    "decision": Look(decision, ("is over: ", "Over ▀", "Enter")),
    "something else": Look(something_else, ("Other actions", "0 Pause")),
    "skipping": Look(skip, ("Why skip head bolt 3?", "1 no room")),
    "turn": Look(turn, ("turn 90°", "angle")),
    "remainder": Look(remainder, ("44° to 48° more", "turn more")),
    "measuring": Look(measure, ("measure, then type it in mm", "1.10", "1.30 mm")),
    "wait": Look(wait, ("left of 10 min", "+ time is up")),
    "inspection": Look(inspection, ("Another person looks and answers", "1–2 or ↑↓ choose")),
    "hold point": Look(hold_point, ("Who looked?", "3 Maud", "1–4 or a name choose")),
    "sign-off": Look(sign_off, ("Sign off as assembler", "1 Ines")),
    "end": Look(end, ("Run closed: done.", "record.toml", "Enter leave")),
    "help": Look(explained, ("Help", "This step", "Esc back")),
    "all actions": Look(all_actions, ("All actions", "Correct the last answer")),
    "map in words": Look(map_in_words, ("The map in words", "1 clicked", "3 to do, the one now")),
    "procedure": Look(procedure, ("Cylinder head, pattern C", "Groups")),
}


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo book, made once."""
    folder = tmp_path_factory.mktemp("looks") / "book"
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("clampbook.book.new_book.drawn", lambda: "b00k2345")
        museum(folder)
    return folder


@pytest.fixture
def book(made: Path, tmp_path: Path) -> Iterator[Book]:
    """A copy of it, in which every run is called alike, in a place whose clocks show UTC."""
    shutil.copytree(made, tmp_path / "book")
    with in_utc() as patch:
        # the head of the log that is shown depends on every byte of the report, and so on the typesetter's version
        patch.setattr("clampbook.record.report.typeset", lambda *_, **__: b"%PDF-1.7 as it was printed")
        patch.setattr("clampbook.run_folder.drawn", lambda: "k7q2m4xa")
        yield Book.open(tmp_path / "book")


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
class TestEveryScreen:
    """Zoomed until it reads from two metres, usual, and large."""

    @pytest.mark.parametrize("name", WALKS)
    def test_of_the_walk(
        self, snap_compare: Callable[..., bool], book: Book, time: Time, name: str, size: tuple[int, int]
    ) -> None:
        """One sentence first, then number and position, and the keys in use below."""
        wanted = Wanted(work=work_named(book, demo.HEAD), person=named(book, "Ines"), trial=False)
        app = Clampbook(lambda app: begin(app, book, time, wanted))

        alike, shown = compared(snap_compare, app, time, size, WALKS[name].scene)

        assert [] == [word for word in WALKS[name].words if word not in shown], shown
        assert alike

    def test_of_the_bench(
        self, snap_compare: Callable[..., bool], book: Book, time: Time, size: tuple[int, int]
    ) -> None:
        """An open run with who, where and since when; what can be started."""

        async def with_an_open_run(keyboard: Keyboard) -> None:
            await keyboard.press("4", "enter", "1", "enter", "1", "enter", "+", "*", "enter", "0", "enter")
            await keyboard.app.workers.wait_for_complete()
            await keyboard.seen_to()

        app = Clampbook(lambda app: bench(app, book, time))

        alike, shown = compared(snap_compare, app, time, size, with_an_open_run)

        wanted = ("Resume", "Ines", "step 1 of 54", "paused", "since 2026-03-02", "Start", "0 quit")
        assert [] == [word for word in wanted if word not in shown], shown
        assert alike

    def test_of_the_beginning(
        self, snap_compare: Callable[..., bool], book: Book, time: Time, size: tuple[int, int]
    ) -> None:
        """Who is there, before a run exists."""

        async def chosen(keyboard: Keyboard) -> None:
            await keyboard.press("4", "enter")

        app = Clampbook(lambda app: bench(app, book, time))

        alike, shown = compared(snap_compare, app, time, size, chosen)

        assert [] == [word for word in ("Who are you?", "1 Ines", "4 Okke") if word not in shown], shown
        assert alike
