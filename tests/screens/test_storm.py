"""A storm of keys while a screen comes or goes: whatever was typed ahead for a screen that was left does nothing."""

from __future__ import annotations

from itertools import product

import pytest
from textual import events

from at_keyboard import Keyboard, at_the_bench, played
from clampbook.book.book import Book
from clampbook.screens.bench import Bench

_OPENS = ("f2", "f1", "enter")
_LEAVES = ("escape", "enter", "f1")


def typed_ahead(keyboard: Keyboard, *keys: str) -> None:
    """All these keys wait for the screen at hand before the first of them is seen to; none is held down."""
    for key in keys:
        keyboard.time.seconds += 1
        event = events.Key(key, None)
        event.time = keyboard.time.seconds
        keyboard.app.screen.post_message(event)


@pytest.mark.parametrize("opens", _OPENS)
@played
async def test_a_screen_is_left_once(book: Book, opens: str) -> None:
    """However many keys that leave it were typed before it was gone."""
    for leaves in product(_LEAVES, repeat=2):
        async with at_the_bench(book) as keyboard:
            await keyboard.press(opens)
            typed_ahead(keyboard, *leaves, *leaves)
            await keyboard.seen_to()
            await keyboard.pilot.pause()

            assert (None, None) == (keyboard.app.unforeseen, keyboard.app.fault)


@pytest.mark.parametrize("opens", _OPENS)
@played
async def test_a_screen_that_is_left_before_it_is_there(book: Book, opens: str) -> None:
    """Opened and left at once, again and again, with a window that changes meanwhile; the bench is there after it."""
    async with at_the_bench(book) as keyboard:
        for columns in (80, 20, 1, 120):
            await keyboard.press(opens)
            typed_ahead(keyboard, "escape", "down")
            keyboard.app.action_actions()
            keyboard.app.action_of_the_screen("explain")
            typed_ahead(keyboard, "escape", "escape")
            await keyboard.pilot.resize_terminal(columns, 24)
            await keyboard.seen_to()
        for _ in range(20):
            if keyboard.runs and not isinstance(keyboard.app.screen, Bench):
                await keyboard.press("escape")

        assert (None, None) == (keyboard.app.unforeseen, keyboard.app.fault)
        assert isinstance(keyboard.app.screen, Bench) or not keyboard.runs
