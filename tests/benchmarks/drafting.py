"""From the last key typed into a draft to the renewed preview, against the same key in a bare text area of the toolkit
and reading, planning and reviewing the same text.
"""

from __future__ import annotations

import asyncio
import tempfile
from pathlib import Path
from statistics import median
from time import perf_counter

from textual.app import App, ComposeResult
from textual.events import Key
from textual.widgets import TextArea

from benchmarks.walking import Pair
from clampbook.book.drafting import copies
from clampbook.procedure.places import Places
from clampbook.procedure.reader import read
from clampbook.review.review import review
from clampbook.run.planning import plan
from clampbook.screens.app import Clampbook
from clampbook.screens.draft.screen import Drafting

GOAL = 2.0
_KEYS = 15
_POSITIONS = 200
_LARGE = (140, 40)
_APART, _LOOK = 0.05, 0.002  # seconds between two keys, and between two looks


def hull(positions: int = _POSITIONS) -> str:
    """A hull's deck of two hundred bolts, in ten rows, with ten kinds of bolts and eight stages."""
    each = positions // 10
    rows = ", ".join(f'"{" ".join(str(n * each + m + 1) for m in range(each))}"' for n in range(10))
    fits = ", ".join(f'"{n * each + 1}-{(n + 1) * each}" = "M10x1.25 x {60 + n} mm"' for n in range(10))
    text = f"""\
format = 2
title = "Deck plate"
revision = "A"
unit = "N·m"
source = "invented"

[layout]
rows = [{rows}]

[[group]]
name = "Deck bolts"
sequence = "spiral"
fits = {{ {fits} }}
property_class = "10.9"
lubrication = "engine oil on thread and under head"
friction = {{ thread = [0.10, 0.14], head = [0.10, 0.14] }}
grip = "50 mm"

"""
    for n in range(4):
        text += f'[[stage]]\ndo = "tighten"\nto = "{20 + n} N·m"\nwithin = "±2 N·m"\n\n'
        text += '[[stage]]\ndo = "turn"\nby = "10°"\nwithin = "±2°"\n\n'
    return f"{text}# "


class Bare(App[None]):
    """The toolkit's own text area, in colours, and nothing beside it."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self._text = text

    def compose(self) -> ComposeResult:
        """The text."""
        yield TextArea.code_editor(self._text, language="toml")


def renewed() -> Pair:
    """Keys in the drafting screen, each until its preview is painted, and the bare work in turns; the medians."""
    return asyncio.run(_renewed())


async def _renewed() -> Pair:
    text, theirs = hull(), []
    async with Bare(text).run_test(size=_LARGE) as pilot:
        area = pilot.app.query_one(TextArea)
        area.move_cursor(area.document.end)
        for _ in range(_KEYS):
            await asyncio.sleep(_APART)
            theirs.append(await _bare_key(pilot.app, area) + _pass(text.encode()))
    ours = []
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "deck.toml"
        path.write_text(text, encoding="utf-8")
        app = Clampbook(lambda app: Drafting(path, None, left=app.exit))
        async with app.run_test(size=_LARGE):
            screen = app.screen
            assert isinstance(screen, Drafting)
            while screen.at_work:
                await asyncio.sleep(_APART)
            screen.sheet_text.move_cursor(screen.sheet_text.document.end)
            for _ in range(_KEYS):
                while screen.at_work:
                    await asyncio.sleep(_APART)
                ours.append(await _key(app, screen))
            copies.forget(path)
    return Pair(median(ours), median(theirs))


def _pass(data: bytes) -> float:
    """Seconds to read, plan and review a text."""
    begun = perf_counter()
    procedure = read(data, "deck.toml")
    assert plan(procedure, "deck").steps
    review(procedure, None, path="deck.toml", line_of=Places(data).line)
    return perf_counter() - begun


async def _bare_key(app: App[None], area: TextArea) -> float:
    """Seconds from a key to the text with it, painted."""
    begun, before = perf_counter(), area.text
    app.post_message(Key("x", "x"))
    while area.text == before or app.screen._dirty_widgets or area._repaint_required:
        await asyncio.sleep(_LOOK)
    return perf_counter() - begun


async def _key(app: Clampbook, screen: Drafting) -> float:
    """Seconds from a key to the preview of the text with it, painted."""
    begun, before = perf_counter(), screen.preview
    app.post_message(Key("x", "x"))
    while screen.preview is before or screen.beside._repaint_required or screen.beside in screen._dirty_widgets:
        await asyncio.sleep(_LOOK)  # the preview is made in a thread, which needs its turn
    return perf_counter() - begun
