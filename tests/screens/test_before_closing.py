"""Before a run is closed the screen names what departed from the procedure, as the record will."""

from __future__ import annotations

from pathlib import Path

import pytest

from at_keyboard import named, onward, played, seen, walking
from clampbook import demo
from clampbook.book.book import Book
from clampbook.run import prompts as ask
from museum import museum


@pytest.fixture
def book(tmp_path: Path) -> Book:
    """The demo book."""
    return museum(tmp_path / "book")


@played
@pytest.mark.parametrize("size", [(120, 36), (80, 24), (60, 24), (40, 24)])
async def test_a_wait_that_was_cut_short_is_named_beside_the_question(book: Book, size: tuple[int, int]) -> None:
    """Not only that there was something: how many, and which, each in a line of its own."""
    async with walking(book, demo.HEAD, by=named(book, "Ines"), size=size) as keyboard:
        await onward(keyboard, ask.Wait)
        await keyboard.press("+", "2", "enter", "1", "enter")
        await onward(keyboard, ask.Finished)
        told = seen(keyboard)

    assert "\n 1 deviation:\n Stage 8: wait cut short: agreed with" in told.replace("\u00a0", " ")
    assert "All steps done, with deviations. Close the run?" in " ".join(told.split())
