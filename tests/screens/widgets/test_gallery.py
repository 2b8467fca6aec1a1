"""All widgets together at the three sizes and in both looks: what stands there, and a picture of it."""

from __future__ import annotations

import asyncio
from collections.abc import Callable

import pytest
from textual.pilot import Pilot

from clampbook.screens.theme import BRIGHT_SHOP, DARK_SHOP
from clampbook.screens.widgets.bottom_line import BottomLine
from clampbook.screens.widgets.countdown import Countdown
from clampbook.screens.widgets.entry_line import EntryLine
from clampbook.screens.widgets.joint_map import JointMap
from clampbook.screens.widgets.large_figures import LargeFigures
from clampbook.screens.widgets.sentence import Sentence
from screens.widgets.gallery import EVERY_MARK, Gallery

SIZES = [(40, 15), (80, 24), (120, 36)]


@pytest.mark.parametrize("shop", [DARK_SHOP, BRIGHT_SHOP], ids=["dark", "bright"])
@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
class TestEverySizeAndLook:
    """One step of a walk on a zoomed terminal, a usual one and a large one, in both shops."""

    def test_a_step_looks_as_it_was_approved(
        self, snap_compare: Callable[..., bool], shop: str, size: tuple[int, int]
    ) -> None:
        """The picture is the one that was looked at; a reading half typed stands in the field."""
        seen: list[object] = []

        async def look(pilot: Pilot[None]) -> None:
            seen.append(pilot.app.query_one(EntryLine).text)
            seen.append(pilot.app.query_one(JointMap).marks)

        alike = snap_compare(Gallery(shop), terminal_size=size, run_before=look)

        assert ["22.1", EVERY_MARK] == seen
        assert alike

    def test_nothing_that_matters_is_out_of_sight(self, shop: str, size: tuple[int, int]) -> None:
        """Sentence, both figures, the field, the wait and the keys are whole on every screen."""

        async def look() -> list[str]:
            app = Gallery(shop)
            async with app.run_test(size=size) as pilot:
                await pilot.pause()
                kinds = (Sentence, LargeFigures, EntryLine, Countdown, BottomLine)
                shown = [widget for kind in kinds for widget in app.query(kind)]
                window = app.screen.region
                return [str(widget) for widget in shown if not window.contains_region(widget.region)]

        assert [] == asyncio.run(look())


def test_without_colour_nothing_is_sent_but_the_terminals_own(monkeypatch: pytest.MonkeyPatch) -> None:
    """With NO_COLOR set, marks, brackets and words say everything."""
    monkeypatch.setenv("NO_COLOR", "1")

    async def look() -> tuple[set[str], str]:
        app = Gallery()
        async with app.run_test(size=(80, 24)) as pilot:
            await pilot.pause()
            colours, text = set(), ""
            for strip in app.screen._compositor.render_strips():
                for segment in strip.apply_filter(app._filters[-1], app.screen.background_colors[1]):
                    text += segment.text
                    if segment.style is not None:
                        colours |= {str(c.name) for c in (segment.style.color, segment.style.bgcolor) if c is not None}
            return colours, text

    colours, text = asyncio.run(look())

    assert {"default"} == colours
    assert ["▀5", "▄4", "◆6", "!7", "┃3┃"] == [shown for shown in ("▀5", "▄4", "◆6", "!7", "┃3┃") if shown in text]
