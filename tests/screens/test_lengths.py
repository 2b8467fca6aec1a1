"""Lengths on the screen: what is typed is judged beside what was measured before."""

from __future__ import annotations

from pathlib import Path

import pytest

from at_keyboard import named, onward, played, shown, walking
from clampbook.book.book import Book
from clampbook.run import prompts as ask
from museum import museum


@pytest.fixture
def book(tmp_path: Path) -> Book:
    """The demo book, with the bearing caps of the launch."""
    return museum(tmp_path / "book")


@pytest.mark.parametrize("size", [(80, 24), (120, 36), (40, 15)])
@played
async def test_a_stretch_is_asked_for_with_the_length_that_reaches_it(book: Book, size: tuple[int, int]) -> None:
    """The torque that was read just before has no place in the window of a length."""
    async with walking(book, "whinchat-crank-caps", by=named(book, "Ines"), size=size) as keyboard:
        await onward(keyboard, ask.Measure, times=9)
        prompt = keyboard.prompt
        assert isinstance(prompt, ask.Measure)
        assert "stretch" == prompt.part
        await keyboard.drawn()
        stands = await shown(keyboard)

    assert "measure its length" in " ".join(stands.split())
    low, high = prompt.window or (None, None)
    assert low is not None and high is not None and prompt.minus is not None
    assert f"{low + prompt.minus:.2f}" in stands
    assert f"{high + prompt.minus:.2f} mm" in stands
