"""Orders that a joint is usually tightened in are not queried; those from one side are, however they are written."""

from __future__ import annotations

import pytest

from .sheets import codes

# The cross pattern by the number of bolts on the circle, with the sources of tests/reference/test_sequences.py.
CROSS = {
    8: "1 5 3 7 2 6 4 8",
    12: "1 7 4 10 2 8 5 11 3 9 6 12",
    16: "1 9 5 13 3 11 7 15 2 10 6 14 4 12 8 16",
    20: "1 11 6 16 3 13 8 18 5 15 10 20 2 12 7 17 4 14 9 19",
    24: "1 13 7 19 4 16 10 22 2 14 8 20 5 17 11 23 3 15 9 21 6 18 12 24",
}

HEAD = 'format = 2\ntitle = "Joint"\nrevision = "A"\nsource = "a sheet"\nunit = "N·m"\n'
STAGE = '\n[[stage]]\ndo = "tighten"\nto = "{} N·m"\nwithin = "±4 %"\n'


def asked(layout: str, order: str, stages: str = STAGE.format(30)) -> list[str]:
    """Which queries about the order there are."""
    group = f'\n[layout]\n{layout}\n\n[[group]]\nname = "Bolts"\nlubrication = "dry"\n{order}\n'
    return [code for code in codes(HEAD + group + stages) if code.startswith("W42")]


def written(labels: str) -> str:
    """An order as the file has it."""
    return "order = [" + ", ".join(f'"{label}"' for label in labels.split()) + "]"


@pytest.mark.parametrize("count", CROSS)
def test_cross_pattern_of_flanges_is_not_queried(count: int) -> None:
    """It pulls opposite sides in turn."""
    assert [] == asked(f"circle = {count}", written(CROSS[count]))


@pytest.mark.parametrize("count", range(4, 41))
def test_going_straight_around_a_circle_is_queried(count: int) -> None:
    """After half of the bolts only one side of the flange is down."""
    assert ["W422"] == asked(f"circle = {count}", 'sequence = "circle"')


@pytest.mark.parametrize("count", range(2, 41))
def test_order_that_is_worked_out_crosswise_is_not_queried(count: int) -> None:
    """Whatever the number of bolts, odd ones too."""
    assert [] == asked(f"circle = {count}", 'sequence = "cross"')


@pytest.mark.parametrize("columns", range(3, 12))
@pytest.mark.parametrize("rows", [1, 2, 3])
def test_order_that_is_worked_out_from_the_middle_is_not_queried(rows: int, columns: int) -> None:
    """The spiral begins in the middle of any rows."""
    grid = [" ".join(str(row * columns + column + 1) for column in range(columns)) for row in range(rows)]

    assert [] == asked(f"rows = {grid}".replace("'", '"'), 'sequence = "spiral"')


@pytest.mark.parametrize("columns", range(4, 12))
@pytest.mark.parametrize("rows", [1, 2])
def test_order_from_one_end_is_queried(rows: int, columns: int) -> None:
    """Rows worked off from left to right, both rows at once."""
    grid = [" ".join(str(column * rows + row + 1) for column in range(columns)) for row in range(rows)]

    assert ["W422"] == asked(f"rows = {grid}".replace("'", '"'), 'sequence = "numbered"')


def test_last_round_around_at_the_same_torque_is_not_queried() -> None:
    """Going around once more evens out what the cross has pulled."""
    once_more = STAGE.format(30) + 'sequence = "circle"\n'

    assert [] == asked("circle = 8", 'sequence = "cross"', STAGE.format(30) + once_more)


def test_round_that_raises_the_torque_going_around_is_queried_at_its_stage() -> None:
    """Half of the torque crosswise does not make a full pull around all right."""
    assert ["W422"] == asked(
        "circle = 8", 'sequence = "cross"', STAGE.format(15) + STAGE.format(30) + 'sequence = "circle"\n'
    )


def test_three_bolts_have_no_sides() -> None:
    """They are pulled in any order."""
    assert [] == asked("circle = 3", 'sequence = "circle"')


def test_what_is_not_drawn_is_not_queried() -> None:
    """Without a layout nobody knows where the positions stand."""
    group = '\n[[group]]\nname = "Bolts"\npositions = "1-8"\nlubrication = "dry"\n'

    assert [] == [code for code in codes(HEAD + group + STAGE.format(30)) if code.startswith("W42")]
