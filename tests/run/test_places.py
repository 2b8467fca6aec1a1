"""How several positions are named in one breath."""

from __future__ import annotations

import pytest

from clampbook.run.prompts import Where
from clampbook.run.told.places import bolt, bolt_named, bolts_named, briefly, named


@pytest.mark.parametrize(
    ("positions", "told"),
    [
        (("1", "9", "5", "13"), "1, 9, 5, 13"),
        (("1", "2", "3", "4"), "1–4"),
        (("1", "2"), "1, 2"),
        (("4", "3", "2", "1"), "4, 3, 2, 1"),
        (("9", "1", "2", "3", "12"), "9, 1–3, 12"),
        (("A1", "A2", "A3"), "A1, A2, A3"),
        (("7",), "7"),
        ((), ""),
    ],
)
def test_only_what_counts_up_by_one_is_a_range(positions: tuple[str, ...], told: str) -> None:
    """Bolts are named in the order in which they are pulled: a range that is none sends the tool to the wrong one."""
    assert told == named(positions)


@pytest.mark.parametrize(
    ("group", "one", "named"),
    [
        ("Head bolts", None, "Head bolt 6"),
        ("Row A", None, "Row A: 6"),
        ("Row A", "Cap screw", "Cap screw 6"),
        ("Studs of the gland", "Gland stud", "Gland stud 6"),
        (None, None, "Position 6"),
    ],
)
def test_a_bolt_is_named_as_one_of_its_group(group: str | None, one: str | None, named: str) -> None:
    """By what the procedure calls one of them; else the s goes, and a name without one stays."""
    assert named == bolt_named(group, "6", one)


def test_one_alone_is_called_what_its_group_calls_it() -> None:
    """A row whose bolts are called studs has stud 6, not "Row A: 6"."""
    assert "Stud 6" == bolts_named("Row A", ("6",), "Stud")
    assert "Row A: 6, 7" == bolts_named("Row A", ("6", "7"), "Stud")


@pytest.mark.parametrize(
    ("group", "one", "told"),
    [
        ("Head bolts", None, "Bolt 6"),
        ("Side screws", None, "Screw 6"),
        ("Nuts", None, "Nut 6"),
        ("Row A", None, "Row A: 6"),
        ("Row A", "Cap stud", "Stud 6"),
    ],
)
def test_where_there_is_little_room_a_bolt_is_one_word(group: str, one: str | None, told: str) -> None:
    """No other group has a position of that name, so the last word of its own is enough."""
    here = Where(number=1, of=9, id="1.1/6", stage=1, group=group, one=one, position="6")

    assert told == bolt(briefly(here))
