"""Orders of work against published drawings and tables."""

from __future__ import annotations

import pytest

from clampbook.procedure.model import Place
from clampbook.procedure.sequences import cross, spiral

# Drawings of flanges in a public manual of heat exchangers, and the chart below: on each bolt, clockwise, its turn.
DRAWN = {
    8: "1 5 3 7 2 6 4 8",
    12: "1 5 9 3 7 11 2 6 10 4 8 12",
    16: "1 9 5 13 3 11 7 15 2 10 6 14 4 12 8 16",
    20: "1 13 5 17 9 3 15 7 19 11 2 14 6 18 10 4 16 8 20 12",
}
# ASME PCC-1, legacy cross-pattern, single tool, bolts numbered clockwise, as public programs quote its table. Of its
# rows for more bolts no copy was found; a public chart of turns agrees up to 20, and from 24 on begins its groups
# otherwise (1, 4, 3, 5, 2, 6 of 24; 1, 5, 4, 6, 3, 7, 2 of 28).
LEGACY_CROSS_PATTERN = {
    4: "1-3-2-4",
    8: "1-5-3-7-2-6-4-8",
    12: "1-7-4-10-2-8-5-11-3-9-6-12",
    16: "1-9-5-13-3-11-7-15-2-10-6-14-4-12-8-16",
    20: "1-11-6-16-3-13-8-18-5-15-10-20-2-12-7-17-4-14-9-19",
    24: "1-13-7-19-4-16-10-22-2-14-8-20-5-17-11-23-3-15-9-21-6-18-12-24",
}


@pytest.mark.parametrize(("bolts", "turns"), DRAWN.items())
def test_the_star_order_is_the_one_that_is_drawn(bolts: int, turns: str) -> None:
    """Each bolt of the drawing has its turn here."""
    order = cross([str(number) for number in range(1, bolts + 1)])

    assert turns.split() == [str(order.index(str(number)) + 1) for number in range(1, bolts + 1)]


@pytest.mark.parametrize(("bolts", "order"), LEGACY_CROSS_PATTERN.items())
def test_the_star_order_is_the_legacy_cross_pattern(bolts: int, order: str) -> None:
    """Up to 24 bolts every row comes out bolt for bolt."""
    assert tuple(order.split("-")) == cross([str(number) for number in range(1, bolts + 1)])


def test_five_studs_of_a_hub_are_tightened_as_a_star() -> None:
    """Each step skips one stud (common practice, no source)."""
    assert ("1", "3", "5", "2", "4") == cross(["1", "2", "3", "4", "5"])


def test_ten_bolts_of_a_head_are_tightened_from_the_middle_out() -> None:
    """Middle pair first, then the next pair on either side in turn, the ends last (common practice, no source)."""
    written = (("9", "5", "1", "4", "8"), ("10", "6", "2", "3", "7"))
    places = [
        Place(position=label, x=float(x), y=float(y)) for y, row in enumerate(written) for x, label in enumerate(row)
    ]

    assert tuple(str(number) for number in range(1, 11)) == spiral(places)
