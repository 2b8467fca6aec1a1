"""A text on the board: always shown whole, whatever stood there before."""

from __future__ import annotations

import asyncio

import pytest
from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.content import Content

from clampbook.screens.widgets.text_block import TextBlock
from screens.widgets.gallery import Shop


class OneList(Shop):
    """A list alone on the screen, as high as its text."""

    def compose(self) -> ComposeResult:
        with VerticalScroll(can_focus=False) as listed:
            listed.styles.height = "auto"
            yield TextBlock()


def rows(count: int) -> Content:
    """A list of so many rows."""
    return Content("\n".join(f"{n}  choice" for n in range(1, count + 1)))


def height_after(counts: list[int], *, hidden: frozenset[int] = frozenset(), settles: bool = True) -> tuple[int, int]:
    """Rows of the list and of what holds it, after texts of so many rows; while some were put it was hidden."""

    async def look() -> tuple[int, int]:
        app = OneList()
        async with app.run_test(size=(40, 30)) as pilot:
            await pilot.pause()
            listed, block = app.query_one(VerticalScroll), app.query_one(TextBlock)
            for n, count in enumerate(counts):
                listed.display = n not in hidden
                block.put(rows(count))
                if settles:
                    await pilot.pause()
            await pilot.pause()
            return block.size.height, listed.size.height

    return asyncio.run(look())


@pytest.mark.parametrize("settles", [True, False], ids=["each painted", "none painted between"])
@pytest.mark.parametrize("hidden", [frozenset(), frozenset({1})], ids=["seen", "hidden meanwhile"])
@pytest.mark.parametrize("counts", [[4, 3, 4], [7, 2, 18], [18, 3, 7], [4, 4, 5]])
def test_a_list_is_shown_whole(counts: list[int], hidden: frozenset[int], settles: bool) -> None:
    """No choice is ever left out because of a list that stood there before."""
    assert (counts[-1], counts[-1]) == height_after(counts, hidden=hidden, settles=settles)
