"""The line on which answers stand: what is asked for, what was typed, and the unit, however narrow it is."""

from __future__ import annotations

import asyncio

import pytest
from textual.app import ComposeResult

from clampbook.screens.widgets.entry_line import EntryLine
from screens.widgets.gallery import Shop


class Narrow(Shop):
    """The line alone."""

    def compose(self) -> ComposeResult:
        yield EntryLine()


def shown(width: int, text: str, unit: str, before: str = "reading") -> tuple[str, int]:
    """What stands on a line of this width, and the column of the terminal's cursor."""

    async def look() -> tuple[str, int]:
        app = Narrow()
        async with app.run_test(size=(width, 3)) as pilot:
            line = app.query_one(EntryLine)
            line.show(before, text, unit)
            await pilot.pause()
            return line.render_line(0).text, app.cursor_position.x

    return asyncio.run(look())


@pytest.mark.parametrize(
    ("text", "line", "cursor"),
    [("", "reading               lbf·ft", 8), ("22.1", "reading 22.1          lbf·ft", 12)],
)
def test_what_was_typed_stands_between_its_name_and_its_unit(text: str, line: str, cursor: int) -> None:
    """The unit stays at the end of the line, and the terminal's cursor stands behind what was typed."""
    assert (line, cursor) == shown(28, text, "lbf·ft")


def test_of_a_line_too_long_the_end_is_seen() -> None:
    """That is where the next sign goes."""
    assert ("reading 45678901234567890 ", 25) == shown(26, "1234567890" * 3, "")


@pytest.mark.parametrize("width", [20, 26, 38])
def test_a_long_name_before_it_never_hides_what_is_typed(width: int) -> None:
    """A tool may be called by a whole sentence; its end is left out, and the number stands there."""
    line, cursor = shown(width, "22.1", "lbf·ft", before="scale of The old clicker from the harbour workshop")

    assert "… 22.1" in line
    assert line.endswith("lbf·ft")
    assert cursor < width
