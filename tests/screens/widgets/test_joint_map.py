"""The map on the screen: what is painted when something changes, and what that costs."""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Callable
from typing import TypeVar

from textual.app import ComposeResult
from textual.pilot import Pilot
from textual.strip import Strip

from clampbook.procedure.model import Layout
from clampbook.screens.widgets.joint_map import JointMap
from clampbook.screens.widgets.map_drawing import plain
from clampbook.screens.widgets.map_piece import Line
from clampbook.screens.widgets.marks import Mark
from screens.widgets.gallery import FITS, HEAD, Shop, rows

T = TypeVar("T")
HALF_DONE: dict[str, Mark] = {str(n): "within" for n in range(1, 101)}


class CountingMap(JointMap):
    """A map that counts how many lines it makes anew."""

    made = 0

    def _painted(self, line: Line, width: int) -> Strip:
        self.made += 1
        return super()._painted(line, width)


class OneMap(Shop):
    """A map alone on the screen."""

    def __init__(self, layout: Layout) -> None:
        super().__init__()
        self.joint = layout

    def compose(self) -> ComposeResult:
        yield CountingMap(self.joint, fits=FITS)


def on_screen(layout: Layout, look: Callable[[CountingMap, Pilot[None]], Awaitable[T]]) -> T:
    """What a look at the map finds at 80 × 24."""

    async def run() -> T:
        app = OneMap(layout)
        async with app.run_test(size=(80, 24)) as pilot:
            await pilot.pause()
            return await look(app.query_one(CountingMap), pilot)

    return asyncio.run(run())


def painted(joint_map: JointMap) -> str:
    """All lines as they are painted."""
    return "\n".join(joint_map.render_line(y).text.rstrip() for y in range(joint_map.size.height))


def grid(across: int, down: int) -> Layout:
    """So many positions in rows, numbered as one reads."""
    return rows(*(" ".join(str(row * across + column + 1) for column in range(across)) for row in range(down)))


def test_what_is_painted_is_what_was_drawn() -> None:
    """The painted lines are those of the pure drawing, in every look and size."""

    async def look(joint_map: CountingMap, pilot: Pilot[None]) -> tuple[str, str]:
        joint_map.show({"1": "within", "2": "over"}, ("3",))
        await pilot.resize_terminal(60, 12)
        await pilot.pause()
        return "\n".join(plain(line).rstrip() for line in joint_map.lines()), painted(joint_map)

    drawn, on_the_screen = on_screen(HEAD, look)

    assert drawn == on_the_screen
    assert "▀2" in on_the_screen


def test_a_step_paints_the_same_few_lines_however_large_the_joint() -> None:
    """From one position to the next only their lines are made anew: of two positions, be there 10 or 200."""

    async def look(joint_map: CountingMap, pilot: Pilot[None]) -> list[int]:
        joint_map.show({}, ("1",))
        await pilot.pause()
        marks: dict[str, Mark] = {}
        made = []
        for n in range(1, 9):
            before = joint_map.made
            marks[str(n)] = "within"
            joint_map.show(marks, (str(n + 1),))
            await pilot.pause()
            made.append(joint_map.made - before)
        return made

    small, large = on_screen(grid(5, 2), look), on_screen(grid(20, 10), look)

    in_frames, in_a_line = 3, 1
    assert (True, True) == (max(small) <= 2 * in_frames, max(large) <= 2 * in_a_line)


def test_the_same_marks_again_paint_nothing() -> None:
    """A question that is asked again costs nothing on the map."""

    async def look(joint_map: CountingMap, pilot: Pilot[None]) -> int:
        joint_map.show(HALF_DONE, ("101",))
        await pilot.pause()
        before = joint_map.made
        joint_map.show(dict(HALF_DONE), ("101",))
        await pilot.pause()
        return joint_map.made - before

    assert 0 == on_screen(grid(20, 10), look)


def test_the_map_moves_on_with_the_work() -> None:
    """The next position is in sight even where the joint is larger than the window."""

    async def look(joint_map: CountingMap, pilot: Pilot[None]) -> tuple[bool, bool]:
        await pilot.resize_terminal(40, 10)
        joint_map.show({}, ("1",))
        await pilot.pause()
        first = "┃1┃" in painted(joint_map)
        joint_map.show({"1": "clicked"}, ("200",))
        await pilot.pause()
        return first, "┃200┃" in painted(joint_map)

    assert (True, True) == on_screen(grid(20, 10), look)


def test_a_turned_map_keeps_its_marks() -> None:
    """Somebody walks around the engine in the middle of a round."""

    async def look(joint_map: CountingMap, pilot: Pilot[None]) -> str:
        joint_map.show({"13": "within"}, ("3",))
        joint_map.turn(2, False)
        await pilot.pause()
        row = next(line for line in painted(joint_map).split("\n") if "14" in line)
        return row.replace("│", " ").strip()

    assert ["14", "13", "●"] == on_screen(HEAD, look).split()


def test_both_looks_paint_the_same_words() -> None:
    """A change between dark and bright in the middle of a step changes colours only."""

    async def look(joint_map: CountingMap, pilot: Pilot[None]) -> tuple[str, str, bool]:
        joint_map.show({"4": "under"}, ("3",))
        await pilot.pause()
        dark, strip = painted(joint_map), list(joint_map.render_line(1))
        joint_map.app.theme = "bright shop"
        await pilot.pause()
        return dark, painted(joint_map), strip == list(joint_map.render_line(1))

    dark, bright, same_colours = on_screen(HEAD, look)

    assert (dark, False) == (bright, same_colours)
