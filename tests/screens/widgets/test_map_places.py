"""Where positions stand on the screen: as the person stands, and apart from each other in every joint."""

from __future__ import annotations

import itertools
import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from clampbook.procedure.model import Layout, Place
from clampbook.screens.widgets.map_places import edges, placed, shown_label, turned
from screens.widgets.gallery import HEAD, circle, rows

TWO_BY_TWO = rows("1 2", "3 4", edges={"above": "inlet", "below": "exhaust", "left": "front", "right": "rear"})


def quadrants(quarters: int, from_below: bool) -> str:
    """The four positions as they are read, upper row first."""
    spots = sorted(turned(TWO_BY_TWO, quarters, from_below), key=lambda spot: (spot.y, spot.x))
    return " ".join(spot.position for spot in spots)


@pytest.mark.parametrize(
    ("quarters", "from_below", "read", "sides"),
    [
        (0, False, "1 2 3 4", "inlet rear exhaust front"),
        (1, False, "3 1 4 2", "front inlet rear exhaust"),
        (2, False, "4 3 2 1", "exhaust front inlet rear"),
        (3, False, "2 4 1 3", "rear exhaust front inlet"),
        (0, True, "2 1 4 3", "inlet front exhaust rear"),
        (2, True, "3 4 1 2", "exhaust rear inlet front"),
    ],
)
def test_the_map_turns_with_the_person(quarters: int, from_below: bool, read: str, sides: str) -> None:
    """A quarter turn is clockwise, from below left and right change places; the names of the sides go along."""
    names = edges(TWO_BY_TWO, quarters, from_below)

    assert read == quadrants(quarters, from_below)
    assert sides == " ".join(names[side] for side in ("above", "right", "below", "left"))


def test_rows_stay_in_line() -> None:
    """What stands in one row of the sheet stands on one line, and what stands in one column below each other."""
    cells = {cell.position: cell for cell in placed(HEAD, 70, 8).cells}

    assert 1 == len({cells[position].line for position in ("11", "9", "5", "1", "4", "8", "12")})
    assert 1 == len({cells[position].column for position in ("9", "10")})


@pytest.mark.parametrize(("width", "height", "apart"), [(80, 9, 2), (120, 20, 5)])
def test_where_rows_abound_the_picture_is_spread_out(width: int, height: int, apart: int) -> None:
    """On a large terminal the rows stand further apart; on a usual one they stay close together."""
    cells = {cell.position: cell.line for cell in placed(HEAD, width, height).cells}

    assert (0, apart, 2 * apart) == (cells["1"], cells["2"], cells["13"])


def test_a_circle_is_even_about_its_middle() -> None:
    """Twelve studs of a flange stand alike on the left and on the right, above and below."""
    picture = placed(circle(12), 70, 12)
    cells = {(cell.column, cell.line) for cell in picture.cells}
    across, down = max(column for column, _ in cells), max(line for _, line in cells)

    assert cells == {(across - column, line) for column, line in cells}
    assert cells == {(column, down - line) for column, line in cells}


@pytest.mark.parametrize(("count", "width", "height"), [(16, 38, 7), (40, 78, 11), (86, 118, 22)])
def test_a_crowded_circle_stands_along_the_rim_and_is_seen_whole(count: int, width: int, height: int) -> None:
    """Where no ellipse has room, order and sides are kept, and every position is in sight."""
    picture = placed(circle(count), width, height)

    assert (True, True) == (picture.width <= width, picture.height <= height)


def test_along_the_rim_the_first_stays_at_the_top_and_the_order_clockwise() -> None:
    """Going around the rim clockwise meets the positions in their order."""
    picture = placed(circle(40), 78, 11)
    middle_x, middle_y = picture.width / 2, (picture.height - 1) / 2
    cells = {int(cell.position): cell for cell in picture.cells}

    assert [0, picture.height - 1] == [cells[1].line, cells[21].line]
    assert (True, True) == (cells[11].column > middle_x, cells[31].column < middle_x)
    assert (True, True) == (abs(cells[11].line - middle_y) <= 1, abs(cells[31].line - middle_y) <= 1)


def test_positions_without_a_picture_run_on_like_text() -> None:
    """A joint without a layout is one row, wrapped where the window ends."""
    line = Layout(kind="line", places=tuple(Place(position=str(n + 1), x=float(n), y=0.0) for n in range(40)))
    picture = placed(line, 60, 8)
    read = [cell.position for cell in sorted(picture.cells, key=lambda cell: (cell.line, cell.column))]

    assert [str(n + 1) for n in range(40)] == read
    assert picture.width <= 60


def test_of_a_long_label_the_end_is_shown() -> None:
    """Its end tells it from its neighbours."""
    assert ("…r-12345", "short") == (shown_label("reservoir-12345"), shown_label("short"))


shapes = st.one_of(
    st.integers(1, 200).map(circle),
    st.lists(st.tuples(st.integers(0, 300), st.integers(0, 300)), min_size=1, max_size=60).map(
        lambda points: Layout(
            kind="at",
            places=tuple(Place(position=f"P{n}", x=x / 10, y=y / 10) for n, (x, y) in enumerate(points)),
        )
    ),
    st.tuples(st.integers(1, 20), st.integers(1, 10)).map(
        lambda size: rows(*(" ".join(f"{r}.{c}" for c in range(size[0])) for r in range(size[1])))
    ),
)


@settings(max_examples=60, deadline=None)
@given(shapes, st.integers(1, 120), st.integers(1, 36), st.integers(0, 3), st.booleans())
def test_no_two_positions_ever_touch(layout: Layout, width: int, height: int, quarters: int, from_below: bool) -> None:
    """Every joint, every window, every way to stand: each position has its own cells."""
    picture = placed(layout, width, height, quarters, from_below)
    in_order = sorted((cell.line, cell.column, cell.column + len(cell.label) + 1) for cell in picture.cells)

    assert len(layout.places) == len(picture.cells)
    assert [] == [(a, b) for a, b in itertools.pairwise(in_order) if a[0] == b[0] and b[1] <= a[2]]


def test_two_positions_at_one_place_do_not_blow_up_the_picture() -> None:
    """A slip in the coordinates leaves a map that can still be used: the two stand beside each other."""
    points = {"A": (0.0, 0.0), "B": (30.0, 0.0), "C": (30.0, 0.0), "D": (60.0, 20.0)}
    layout = Layout(kind="at", places=tuple(Place(position=name, x=x, y=y) for name, (x, y) in points.items()))
    picture = placed(layout, 60, 12)
    cells = {cell.position: cell for cell in picture.cells}

    assert 3 == cells["C"].column - cells["B"].column
    assert picture.width <= 60


def test_coordinates_keep_their_sides() -> None:
    """What lies left of and above another in the file does so on the screen."""
    points = {"A": (0.0, 0.0), "B": (80.0, 10.0), "C": (40.0, 60.0)}
    layout = Layout(kind="at", places=tuple(Place(position=name, x=x, y=y) for name, (x, y) in points.items()))
    cells = {cell.position: cell for cell in placed(layout, 60, 12).cells}

    assert cells["A"].column < cells["C"].column < cells["B"].column
    assert cells["A"].line < cells["B"].line < cells["C"].line
    assert math.isclose(0.5, (cells["C"].column - cells["A"].column) / cells["B"].column, abs_tol=0.1)


def test_a_crowded_circle_is_an_ellipse_before_it_is_a_rectangle() -> None:
    """Twenty in five lines: fewest at the sides, and the upper line is shorter than the middle one."""
    cells = placed(circle(20), 78, 5).cells
    reach = {
        line: max(c.column for c in cells if c.line == line) - min(c.column for c in cells if c.line == line)
        for line in range(5)
    }

    assert reach[0] < reach[1] < reach[2] and reach[4] < reach[3] < reach[2]
    assert [5, 4, 2, 4, 5] == [sum(c.line == line for c in cells) for line in range(5)]
