"""Keys and pastes at random in a draft, and errors that nobody foresaw: none of them ends the program."""

from __future__ import annotations

import asyncio
import random
from pathlib import Path

import pytest
from textual.events import Key, Paste

from at_drafts import COVER, drafting
from at_keyboard import played
from at_looks import SIZES
from clampbook.book.drafting.preview import Preview
from clampbook.screens.draft import previewing

_KEYS = 300
_NAMED = (
    *("up", "down", "left", "right", "home", "end", "pageup", "pagedown", "enter", "tab", "backspace", "delete"),
    *("f1", "f2", "f3", "f4", "f5", "f6", "f7", "f9", "escape", "ctrl+z", "ctrl+y", "ctrl+k", "ctrl+u", "ctrl+w"),
    *("shift+down", "shift+end", "ctrl+x", "ctrl+v"),
)
_SIGNS = "abdehnorstuw=[]\"',.{}#123 °·±"
_PASTED = ("a\nb", '[[stage]]\ndo = "tu', '"', "]]", "x" * 50, "\n\n\n", "é·°", "\t", "\x00")


@pytest.mark.parametrize("size", SIZES)
@played
async def test_no_keys_end_it(cover: Path, size: tuple[int, int]) -> None:
    """But for leaving it, which is asked about."""
    chance = random.Random(f"keys of a draft {size}")
    async with drafting(cover, size=size) as draft:
        for _ in range(_KEYS):
            if draft.app._exit:
                break
            draft.app.post_message(_stroke(chance))
            if chance.random() < 0.3:
                await asyncio.sleep(0.003)
        await draft.rested()
        unforeseen = draft.app.unforeseen

    assert unforeseen is None


def _stroke(chance: random.Random) -> Key | Paste:
    kind = chance.random()
    if kind < 0.03:
        return Paste(chance.choice(_PASTED))
    if kind < 0.5:
        sign = chance.choice(_SIGNS)
        return Key(sign, sign)
    return Key(chance.choice(_NAMED), None)


@played
async def test_an_error_that_nobody_foresaw_keeps_nobody_from_saving(
    cover: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It is told, and the next preview is made as usual."""

    def broken(*_: object) -> Preview:
        raise RuntimeError("a cable is loose")

    async with drafting(cover) as draft:
        with monkeypatch.context() as patch:
            patch.setattr(previewing, "previewed", broken)
            await draft.at(1, end=False)
            await draft.type("#")
            told = draft.told
        await draft.press("f8")
        await draft.press("backspace")
        beside = draft.beside

    assert "Unexpected error (RuntimeError). The text can be saved: press F8." == told
    assert f"#{COVER}" == cover.read_text(encoding="utf-8")
    assert beside.startswith("No errors")
