"""Nothing is done on a screen that was left."""

from __future__ import annotations

from pathlib import Path

import pytest

from at_keyboard import at_the_bench, played
from clampbook.screens.page import Page
from museum import museum


@pytest.mark.parametrize("left", [False, True])
@played
async def test_what_is_called_later_finds_its_screen_or_is_not_called(left: bool, tmp_path: Path) -> None:
    """A key goes back, and what was to follow belongs to a page whose parts are gone."""
    called = []

    class Leaf(Page):
        def turned(self) -> None:
            called.append(self)

    async with at_the_bench(museum(tmp_path / "book")) as keyboard:
        app = keyboard.pilot.app
        leaf = Leaf("A page", ("one line",))
        await app.push_screen(leaf)
        app.call_later(leaf.turned)
        if left:
            app.pop_screen()
        await keyboard.pilot.pause()

    assert ([] if left else [leaf]) == called
