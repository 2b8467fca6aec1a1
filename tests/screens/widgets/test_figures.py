"""The large figures: solid, told apart from each other, and as tall as there is room for."""

from __future__ import annotations

import asyncio
import string
from itertools import combinations

import pytest
from textual.app import ComposeResult

from clampbook.run.told.words import Figure
from clampbook.screens.widgets.figures import HEIGHTS, MIDDLE, SLIM, SMALL, TALL, Height, covers, large, tallest
from clampbook.screens.widgets.large_figures import LargeFigures, Stand
from screens.widgets.gallery import Shop

NEEDED = string.digits + string.ascii_uppercase + ".,:°–-+±×/%()?"


@pytest.mark.parametrize("height", HEIGHTS)
class TestEveryHeight:
    """What holds for figures of seven, five and three lines, and for the slim ones."""

    def test_every_sign_is_a_block_of_that_height(self, height: Height) -> None:
        """Each sign takes exactly so many lines of one width."""
        assert [height.rows] * len(NEEDED) == [len(large(sign, height)) for sign in NEEDED]
        assert {1} == {len({len(line) for line in large(sign, height)}) for sign in NEEDED}

    def test_no_two_signs_look_alike(self, height: Height) -> None:
        """0 and O, 1 and I, 5 and S, 8 and B: all differ."""
        alike = [pair for pair in combinations(NEEDED, 2) if large(pair[0], height) == large(pair[1], height)]

        assert [] == alike

    def test_figures_are_made_of_nothing_but_solid_ink(self, height: Height) -> None:
        """Whole and half blocks only: no dots, no bars, no outlines."""
        assert set(" █▀▄") >= set("".join("".join(large(sign, height)) for sign in NEEDED))

    def test_strokes_are_two_cells_thick_but_for_the_slim_ones(self, height: Height) -> None:
        """Along a line no ink of the solid ones is thinner than two cells."""
        thick = 1 if height == SLIM else 2
        inked = [run for sign in NEEDED for line in large(sign, height) for run in line.split()]

        assert [] == [run for run in inked if len(run) < thick]


def test_the_zero_is_slashed() -> None:
    """A stroke crosses the zero, and none crosses the O."""
    assert (True, False) == tuple("█" in large(sign)[TALL.rows // 2][2:-2] for sign in "0O")


def test_small_letters_are_small_capitals_on_the_line() -> None:
    """Position a is not position A: it is lower, and stands on the same foot."""
    small, capital = large("a"), large("A")

    assert ("", "", True) == (small[0].strip(), small[1].strip(), capital[0].strip() != "")


def test_a_word_in_small_letters_takes_the_whole_height() -> None:
    """No empty rows stand above the name of a measuring point."""
    assert large("FRONT") == large("front")
    assert "" != large("front")[0].strip()


def test_a_text_with_a_sign_we_have_no_figure_for_is_not_drawn() -> None:
    """It is then shown as plain text instead of with a hole."""
    assert (True, False) == (covers("22.1"), covers("№ 7"))


@pytest.mark.parametrize(("width", "height"), [(40, TALL), (30, MIDDLE), (24, SMALL), (17, SLIM), (10, None)])
def test_the_tallest_figures_are_those_that_fit(width: int, height: Height | None) -> None:
    """The same number is drawn smaller where there is less room, and not at all where there is none."""
    assert height == tallest((("22.1", width),))


NUMBER = Figure("22.1", "on W2", "set to", "lbf·ft")


class OneNumber(Shop):
    """A number alone on the screen."""

    def compose(self) -> ComposeResult:
        yield LargeFigures(NUMBER, id="hand")


def shown(width: int, figure: Figure = NUMBER, stand: Stand | None = None) -> tuple[str, ...]:
    """The lines of the widget on a screen of this width."""

    async def look() -> tuple[str, ...]:
        app = OneNumber()
        async with app.run_test(size=(width, 15)) as pilot:
            figures = app.query_one(LargeFigures)
            figures.show(figure, stand)
            await pilot.pause()
            return tuple(figures.render_line(y).text.rstrip() for y in range(figures.size.height))

    return asyncio.run(look())


def test_unit_and_tool_stand_at_the_foot_and_what_it_is_at_the_top() -> None:
    """Beside the number, so that no row is lost."""
    lines = shown(60)

    assert TALL.rows == len(lines)
    assert ("set to", "lbf·ft", "on W2") == tuple(lines[row].split("  ")[-1].strip() for row in (0, 5, 6))


def test_where_columns_are_many_the_unit_is_large_too() -> None:
    """It is read from as far as the number: N·m is no lbf·ft."""
    lines = shown(70, stand=Stand(MIDDLE, "large"))

    assert ("set to", "on W2") == tuple(lines[row].split("  ")[-1].strip() for row in (0, 1))
    assert [line.split("   ")[-1] for line in lines[-3:]] != [""] * 3
    assert MIDDLE.rows == len(lines)


def test_where_columns_are_few_all_of_that_stands_below() -> None:
    """The number is what has to be read from two metres."""
    lines = shown(36, stand=Stand(MIDDLE, "below"))

    assert "set to, lbf·ft on W2" == lines[-1]
    assert MIDDLE.rows + 1 == len(lines)


def test_a_place_stands_in_a_thick_frame_with_the_kind_of_its_bolt() -> None:
    """Neither from afar nor at a glance is it taken for the number."""
    lines = shown(60, Figure("6", framed=True, kind="short"), Stand(MIDDLE))

    assert ("┏", "┗━━ short ━━┛") == (lines[0][0], lines[-1])
    assert {"┃"} == {line[0] for line in lines[1:-1]} | {line[-1] for line in lines[1:-1]}
    assert MIDDLE.rows + 2 == len(lines)


def test_a_kind_too_long_for_the_frame_stands_beside_it() -> None:
    """Nothing of it is cut."""
    assert "┃  short, left-hand" in shown(60, Figure("1", framed=True, kind="short, left-hand"), Stand(SMALL))[2]


def test_what_cannot_be_drawn_stands_as_text() -> None:
    """A label with signs we have no figures for is still shown."""
    assert "№ 7 lbf·ft on W2  set to" == shown(60, Figure("№ 7", "on W2", "set to", "lbf·ft"))[0]
    assert "┃ № 7 ┃" == shown(60, Figure("№ 7", framed=True))[0]


def test_the_figures_are_told_in_words() -> None:
    """A screen reader gets the number, its unit and what it is."""
    assert "22.1 lbf·ft on W2  set to" == LargeFigures(NUMBER).plain


@pytest.mark.parametrize(("before", "after"), [("22.1", "122.1"), ("5", "144"), ("144", "5")])
@pytest.mark.parametrize("width", [24, 38])
def test_another_number_stands_as_if_it_had_stood_there_first(width: int, before: str, after: str) -> None:
    """A three-digit target after a shorter one: neither number nor caption is cut off."""

    async def look(*numbers: str) -> tuple[str, ...]:
        app = OneNumber()
        async with app.run_test(size=(width, 12)) as pilot:
            widget = app.query_one(LargeFigures)
            widget.styles.width = width
            for number in numbers:
                widget.show(Figure(number, "on W2", "stop at", "lbf·ft"), Stand(MIDDLE, "below"))
                await pilot.pause()
            return tuple(widget.render_line(y).text for y in range(widget.size.height))

    assert asyncio.run(look(after)) == asyncio.run(look(before, after))
    assert "stop at" in asyncio.run(look(before, after))[-1]
