"""How several positions are named in one breath."""

from __future__ import annotations

import pytest
from small_joints import bench_for, bolts, measure, tighten, walk_to

from clampbook.run import prompts as ask
from clampbook.run.asked import sentence
from clampbook.run.prompts import Where
from clampbook.run.told.places import bolt, bolt_named, bolts_named, briefly, fasteners, named


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


class TestFasteners:
    """What belongs where, as a map tells it apart."""

    def test_every_group_says_what_belongs_at_its_positions(self) -> None:
        """Head bolts of two lengths and side screws: no screw looks like a bolt."""
        head = bolts(2, fits={"1": "M10 x 91 mm", "2": "M10 x 79.5 mm"})
        side = bolts(1, "Side screws", first=3, thread="M8")

        run = bench_for((head, side), tighten(head), tighten(side, 2))

        assert {"1": "M10 x 91 mm", "2": "M10 x 79.5 mm", "3": "M8"} == fasteners(run.plan)

    def test_a_group_that_does_not_say_its_size_is_told_by_its_name(self) -> None:
        """A plain number would say that it takes the other group's fastener."""
        head, side = bolts(1, thread="M10"), bolts(1, "Side screws", first=2)

        run = bench_for((head, side), tighten(head), tighten(side, 2))

        assert {"1": "M10", "2": "Side screws"} == fasteners(run.plan)

    def test_where_no_size_is_said_nothing_is_told_apart(self) -> None:
        """There is nothing to be mistaken for."""
        head = bolts(2)

        assert {} == fasteners(bench_for(head, tighten(head)).plan)


def test_a_bolt_that_is_looked_back_at_is_at_no_measuring_point() -> None:
    """The gap at the front is what comes next; it is no part of bolt 1."""
    head = bolts(1)
    run = bench_for(head, tighten(head), measure(2, points=("front",)))
    walk_to(run, "2.1/front", ask.Measure)

    run.resume(gap=3600)

    assert sentence(run.prompt).startswith("Head bolt 1: is it as you left it?")
