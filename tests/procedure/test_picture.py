"""The one picture of a joint, and which positions stand in it."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from clampbook.procedure.model import Layout

from .written import HEAD, STAGE, keys, procedure

ONE_GROUP = '\n[[group]]\nname = "Bolts"\n'


def drawn(layout: str, group: str = ONE_GROUP) -> Layout:
    """The layout of a file with one group that takes all of it."""
    return procedure(f"{HEAD}\n[layout]\n{layout}\n{group}{STAGE}").layout


def spots(layout: Layout) -> dict[str, tuple[float, float]]:
    """Where each position stands."""
    return {place.position: (place.x, place.y) for place in layout.places}


def test_rows_are_drawn_as_they_are_written() -> None:
    """A dot is an empty place, columns and rows are the coordinates."""
    layout = drawn('rows = ["3 . 1", "4 2"]\nseen_from = "above"\nedges = { above = "inlet side" }')

    assert (("3", None, "1"), ("4", "2", None)) == layout.rows
    assert {"3": (0, 0), "1": (2, 0), "4": (0, 1), "2": (1, 1)} == spots(layout)
    assert ("rows", "above", {"above": "inlet side"}) == (layout.kind, layout.seen_from, layout.edges)


@pytest.mark.parametrize(
    ("first", "clockwise", "second_is"),
    [
        ("top", "true", "right"),
        ("top", "false", "left"),
        ("right", "true", "bottom"),
        ("bottom", "true", "left"),
        ("left", "false", "bottom"),
    ],
)
def test_a_circle_is_numbered_from_its_first(first: str, clockwise: str, second_is: str) -> None:
    """Of four positions the second stands a quarter further, the way the numbers run; y points downwards."""
    layout = drawn(f'circle = 4\nfirst = "{first}"\nclockwise = {clockwise}')
    where = spots(layout)
    middle = sum(x for x, _ in where.values()) / 4, sum(y for _, y in where.values()) / 4
    sides = {"top": (0, -1), "right": (1, 0), "bottom": (0, 1), "left": (-1, 0)}

    for position, side in (("1", first), ("2", second_is)):
        right, down = where[position][0] - middle[0], where[position][1] - middle[1]
        radius = math.hypot(right, down)
        assert sides[side] == (round(right / radius), round(down / radius))


@given(st.integers(1, 60))
def test_a_circle_holds_all_positions_at_one_distance_and_apart(count: int) -> None:
    """Every position is as far from the middle as every other, and none stands on another."""
    where = spots(drawn(f"circle = {count}"))
    radius = max(1.5, count / math.pi)

    assert [str(n) for n in range(1, count + 1)] == list(where)
    assert count == len(set(where.values()))
    assert all(math.isclose(radius, math.hypot(x - radius, y - radius), abs_tol=0.001) for x, y in where.values())


def test_coordinates_are_taken_as_they_are() -> None:
    """x to the right, y downwards, whole numbers or not."""
    assert {"1": (0, 30), "B": (-2.5, 4)} == spots(drawn('at = { "1" = [0, 30], B = [-2.5, 4] }'))


def test_without_a_layout_positions_stand_in_one_row() -> None:
    """The groups' positions in the order in which they are named."""
    two = '\n[[group]]\nname = "A"\npositions = "3, 1"\n\n[[group]]\nname = "B"\npositions = "2"\n'
    layout = procedure(f'{HEAD}{two}{STAGE}group = "A"\n{STAGE}group = "B"\n').layout

    assert ("line", {"3": (0, 0), "1": (1, 0), "2": (2, 0)}) == (layout.kind, spots(layout))


def test_one_group_takes_the_whole_layout() -> None:
    """Positions may be left out where there is one group."""
    (group,) = procedure(f'{HEAD}\n[layout]\nrows = ["3 1 2"]\n{ONE_GROUP}{STAGE}').groups

    assert ("3", "1", "2") == group.positions


@pytest.mark.parametrize(
    ("layout", "expected"),
    [
        ('rows = ["1 2", "2 3"]', [("layout.rows[2]", "E211")]),
        ('rows = ["1 2 2"]', [("layout.rows[1]", "E211")]),
        ('rows = [". ."]', [("layout.rows", "E232")]),
        ('rows = ["1 2/3"]', [("layout.rows[1]", "E210")]),
        ("at = { }", [("layout.at", "E232")]),
        ('seen_from = "above"', [("layout", "E232")]),
        ('circle = 4\nrows = ["1"]', [("layout", "E232")]),
        ('rows = ["1"]\nclockwise = true', [("layout.clockwise", "E232")]),
        ("circle = 30000", [("layout.circle", "E233")]),
        ("circle = 0", [("layout.circle", "E120")]),
        ('at = { "1" = [0] }', [("layout.at.1", "E121")]),
        ('at = { "1" = ["0 mm", 1] }', [("layout.at.1[1]", "E117")]),
        ('at = { "1" = [inf, 1] }', [("layout.at.1[1]", "E120")]),
        ("row = ['1']", [("layout.row", "E115")]),
    ],
)
def test_layout_that_cannot_be_drawn(layout: str, expected: list[tuple[str, str]]) -> None:
    """What is wrong with a picture is told at its key."""
    assert expected == keys(f"{HEAD}\n[layout]\n{layout}\n{ONE_GROUP}{STAGE}")
