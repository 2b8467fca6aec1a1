"""What the bench lists: open runs, procedures, and what falls due after which work."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path

from at_keyboard import START, named, onward, played, walking
from clampbook import demo
from clampbook.run import prompts as ask
from clampbook.screens import standing


@played
async def test_due_work_is_told_by_title_and_day(tmp_path: Path) -> None:
    """Nobody knows a run by its drawn letters; what it was and when it was done is known."""
    book = demo.make(tmp_path / "book")[0]
    async with walking(book, demo.HEAD, by=named(book, "Ines")) as keyboard:
        await onward(keyboard, ask.Ended)

    told = [each.text for each in standing.due(book, START + timedelta(days=1))]

    assert [
        "Look at the head after the first run · Cylinder head, pattern C · Whinchat, done 2 Mar 2026 "
        "· due 16 Mar 2026 or after 10 h of use"
    ] == told
