"""The walk on the screen, by real keys from a cold start."""

from __future__ import annotations

from pathlib import Path

import pytest

from at_keyboard import at_the_bench, daybook, played, steadily
from clampbook import demo
from clampbook.book.book import Book
from clampbook.run import prompts as ask


@pytest.fixture
def book(tmp_path: Path) -> Book:
    """The demo book."""
    return demo.make(tmp_path / "book")[0]


class TestKeysCounted:
    """Paper takes 20 seconds to the first bolt and a tick for each; the screen may not take much more."""

    @played
    async def test_the_demo_by_numeric_pad(self, book: Book) -> None:
        """From the bench: the first pull within 40 keys, one for a release, five for a reading, eight for a tool."""
        async with at_the_bench(book) as keyboard:
            await keyboard.press("4", "1", "enter", "1")
            taken = await steadily(keyboard)

        before = 4 + sum(keys for prompt, keys in taken[: _first_pull(taken)])
        assert before <= 40
        assert {1} == {keys for prompt, keys in taken if isinstance(prompt, ask.Tighten) and not prompt.reading}
        assert max(keys for prompt, keys in taken if isinstance(prompt, ask.Measure)) <= 5
        assert "closed" == daybook(book)[-1]["event"]


def _first_pull(taken: list[tuple[ask.Prompt, int]]) -> int:
    return next(n for n, (prompt, _) in enumerate(taken) if isinstance(prompt, ask.Tighten))
