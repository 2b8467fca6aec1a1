"""What is longer than its place: the bar beside it tells where one is, whatever stood there before."""

from __future__ import annotations

import asyncio

from textual.app import ComposeResult
from textual.content import Content

from clampbook.screens.widgets.long_text import LongText
from clampbook.screens.widgets.text_block import TextBlock
from screens.widgets.gallery import Shop


class OneList(Shop):
    """A list alone on the screen, five rows high at most."""

    def compose(self) -> ComposeResult:
        with LongText(id="listed") as listed:
            listed.styles.height = "auto"
            listed.styles.max_height = 5
            yield TextBlock()


def rows(count: int) -> Content:
    """A list of so many rows."""
    return Content("\n".join(f"{n}  choice" for n in range(1, count + 1)))


def test_the_bar_begins_at_the_top_where_the_list_does() -> None:
    """A long list was read to its end, a short one came, then a long one again: it begins with its first line."""

    async def look() -> tuple[float, float, float]:
        app = OneList()
        async with app.run_test(size=(40, 12)) as pilot:
            await pilot.pause()
            listed, block = app.query_one(LongText), app.query_one(TextBlock)
            block.put(rows(20))
            await pilot.pause()
            listed.scroll_to(y=9, animate=False)
            await pilot.pause()
            read_to = listed.vertical_scrollbar.position
            block.put(rows(2))
            await pilot.pause()
            block.put(rows(20))
            await pilot.pause()
            return read_to, listed.scroll_y, listed.vertical_scrollbar.position

    assert asyncio.run(look()) == (9, 0, 0)
