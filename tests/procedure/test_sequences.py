"""In which order fasteners are taken, and which are neighbours."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from clampbook.procedure.model import Layout, Place
from clampbook.procedure.sequences import (
    OrderFault,
    SequenceName,
    circle,
    cross,
    explicit,
    listed,
    nearest_neighbours,
    numbered,
    reversed_order,
    sequence,
    spiral,
)


def labels(count: int) -> list[str]:
    """Positions 1 to count."""
    return [str(number) for number in range(1, count + 1)]


def rows(*written: str) -> Layout:
    """A picture in rows, as a procedure writes it; a point is an empty place."""
    grid = [row.split() for row in written]
    places = [
        Place(position=label, x=float(x), y=float(y))
        for y, row in enumerate(grid)
        for x, label in enumerate(row)
        if label != "."
    ]
    return Layout(kind="rows", places=tuple(places))


def ring(count: int, *, clockwise: bool = True) -> Layout:
    """A bolt circle numbered from the top."""
    turn = (2 if clockwise else -2) * math.pi / count
    places = [
        Place(position=str(index + 1), x=5 * math.sin(index * turn), y=-5 * math.cos(index * turn))
        for index in range(count)
    ]
    return Layout(kind="circle", places=tuple(places))


def as_free(layout: Layout) -> Layout:
    """The same picture given by coordinates alone."""
    return Layout(kind="at", places=layout.places)


def apart(order: tuple[str, ...], count: int) -> list[int]:
    """How many places lie between each and the next of an order around a circle, the shorter way."""
    steps = [(int(here) - int(there)) % count for here, there in pairwise(order)]
    return [min(step, count - step) for step in steps]


HEAD = rows("11 9 5 1 4 8 12", ". 10 6 2 3 7 .", "13 . . . . . 14")
COUNTS = st.integers(0, 300)
LABELS = st.lists(st.text("0123456789ABab", min_size=1, max_size=4), unique=True, max_size=300)


class TestCross:
    """The star order on a circle."""

    @given(COUNTS)
    def test_each_position_is_visited_once(self, count: int) -> None:
        """Nobody is left out and nobody is pulled twice."""
        assert sorted(labels(count)) == sorted(cross(labels(count)))

    @pytest.mark.parametrize(
        ("count", "order"),
        [(0, ""), (1, "1"), (2, "1 2"), (3, "1 2 3"), (6, "1 4 2 5 3 6"), (10, "1 6 3 8 5 10 7 2 9 4")],
    )
    def test_other_numbers_than_those_of_the_tables_go_across_too(self, count: int, order: str) -> None:
        """Opposite pairs, each about square to the one before."""
        assert tuple(order.split()) == cross(labels(count))

    @given(st.integers(5, 300))
    def test_two_in_succession_never_lie_side_by_side(self, count: int) -> None:
        """From five on they are at least two places apart, and at least an eighth of the circle."""
        assert min(apart(cross(labels(count)), count)) >= max(2, count // 8)

    @given(st.integers(5, 300))
    def test_all_but_the_begins_of_fours_lie_a_quarter_apart(self, count: int) -> None:
        """Only where one group of four ends and the next begins may it be less than a quarter of the circle."""
        short = [step for step in apart(cross(labels(count)), count) if step < count // 4]

        assert len(short) <= count // 4

    @given(st.integers(1, 75).map(lambda pairs: 4 * pairs + 2))
    def test_pairs_are_always_a_quarter_apart(self, count: int) -> None:
        """With 6, 10, 14 … there are no fours, and every step is at least a quarter of the circle."""
        assert min(apart(cross(labels(count)), count)) >= count / 4

    @given(st.integers(1, 150).map(lambda pairs: 2 * pairs))
    def test_an_even_circle_is_pulled_in_opposite_pairs(self, count: int) -> None:
        """First and second, third and fourth … face each other."""
        order = cross(labels(count))

        assert {count // 2} == set(apart(order, count)[::2])

    @given(st.integers(2, 75).map(lambda quarters: 4 * quarters))
    def test_after_each_four_the_load_is_the_same_all_around(self, count: int) -> None:
        """Four in a row stand square to each other."""
        order = [int(label) for label in cross(labels(count))]
        fours = [sorted(order[begin : begin + 4]) for begin in range(0, count, 4)]

        assert {count // 4} == {later - earlier for four in fours for earlier, later in pairwise(four)}


class TestSpiral:
    """From the middle out."""

    def test_a_head_of_two_rows_goes_out_in_pairs(self) -> None:
        """The middle pair, the pair to one side, the pair to the other: the sheet's own numbers."""
        assert tuple(labels(10)) == sequence("spiral", HEAD, labels(10)[::-1])

    def test_an_even_head_begins_with_the_four_in_the_middle(self) -> None:
        """Then the pair to the left, then the pair to the right."""
        head = rows("a b c d", "e f g h")

        assert tuple("bfgcaehd") == spiral(head.places)

    def test_a_single_row_takes_turns_on_both_sides(self) -> None:
        """Middle, left, right, left, right."""
        assert tuple("cbdae") == spiral(rows("a b c d e").places)

    def test_a_column_takes_turns_up_and_down(self) -> None:
        """An engine drawn upright is no different from one drawn lying."""
        assert tuple("cbdae") == spiral(rows("a", "b", "c", "d", "e").places)

    def test_a_middle_that_is_empty_is_no_hindrance(self) -> None:
        """A frame has its middle where nothing stands."""
        frame = rows("1 2 3", "4 . 5", "6 7 8")

        assert ("2", "4", "7", "5", "3", "1", "6", "8") == spiral(frame.places)

    def test_no_places_have_no_order(self) -> None:
        """Nothing to do is nothing done."""
        assert () == spiral(())

    @given(st.integers(1, 12), st.integers(1, 25))
    def test_any_grid_is_visited_once_each_from_the_middle_out(self, height: int, width: int) -> None:
        """No later position lies nearer to the middle than an earlier one."""
        grid = rows(*(" ".join(f"{y}-{x}" for x in range(width)) for y in range(height)))
        where = {place.position: place for place in grid.places}

        order = spiral(grid.places)

        distances = [
            round(math.hypot(where[label].x - (width - 1) / 2, where[label].y - (height - 1) / 2), 9) for label in order
        ]
        assert sorted(where) == sorted(order)
        assert sorted(distances) == distances

    @given(st.integers(1, 40))
    def test_in_two_rows_both_sides_gain_evenly(self, width: int) -> None:
        """At no time is one side ahead by more than a pair."""
        head = rows(*(" ".join(f"{y}-{x}" for x in range(width)) for y in range(2)))
        lead, ahead = 0.0, [0.0]

        for label in spiral(head.places):
            side = int(label.split("-")[1]) - (width - 1) / 2
            lead += (side > 0) - (side < 0)
            ahead.append(lead)

        assert max(map(abs, ahead)) <= 2

    @given(st.integers(1, 40))
    def test_in_two_rows_pairs_stay_together(self, width: int) -> None:
        """The two bolts of a column follow each other."""
        head = rows(*(" ".join(f"{y}-{x}" for x in range(width)) for y in range(2)))
        columns = [label.split("-")[1] for label in spiral(head.places)]

        assert columns[::2] == columns[1::2]

    @given(st.lists(st.tuples(st.floats(-1e6, 1e6), st.floats(-1e6, 1e6)), max_size=60))
    def test_any_picture_is_visited_once_each(self, points: list[tuple[float, float]]) -> None:
        """Free coordinates too, places on top of each other included."""
        places = [Place(position=str(index), x=x, y=y) for index, (x, y) in enumerate(points)]

        assert sorted(place.position for place in places) == sorted(spiral(places))


class TestPlainOrders:
    """Numbered, listed, around, reversed."""

    def test_numbers_go_by_size(self) -> None:
        """2 comes before 10."""
        assert ("1", "2", "10", "11") == numbered(["10", "2", "11", "1"])

    def test_letters_go_before_numbers_inside_a_label(self) -> None:
        """A1, A2, A10, B1; a bare number before any letter."""
        assert ("3", "A1", "A2", "A10", "B1") == numbered(["B1", "A10", "A2", "3", "A1"])

    def test_labels_that_read_the_same_stay_as_listed(self) -> None:
        """Neither noughts in front nor capitals make an order."""
        assert ("01", "1", "a1", "A1") == numbered(["a1", "01", "1", "A1"])

    def test_a_label_of_many_digits_is_no_hindrance(self) -> None:
        """Sorting has no limit to its digits."""
        assert ("7", "9" * 5000, "1" + "0" * 5000) == numbered(["1" + "0" * 5000, "9" * 5000, "7"])

    @given(LABELS)
    def test_numbering_forgets_nobody_and_does_not_depend_on_the_listing(self, positions: list[str]) -> None:
        """Each position once, and the same order whichever way they were listed, but for labels that read the same."""
        order = numbered(positions)

        assert sorted(positions) == sorted(order)
        assert [label.casefold().lstrip("0") for label in order if label.isdigit()] == [
            label.lstrip("0") for label in numbered(sorted(positions)) if label.isdigit()
        ]

    def test_listed_and_circle_keep_what_is_given(self) -> None:
        """As written, and once around as given."""
        assert ("3", "1", "2") == listed(["3", "1", "2"]) == circle(["3", "1", "2"])

    @given(LABELS)
    def test_reversing_twice_changes_nothing(self, positions: list[str]) -> None:
        """Loosening runs the order backwards."""
        assert tuple(positions) == reversed_order(reversed_order(positions))
        assert tuple(positions[::-1]) == reversed_order(positions)


class TestExplicitOrder:
    """An order written out in the file."""

    def test_an_order_that_visits_each_once_is_taken_as_written(self) -> None:
        """The sheet decides."""
        assert ("3", "1", "2") == explicit(["3", "1", "2"], ["1", "2", "3"])

    def test_what_is_missing_twice_or_unknown_is_named(self) -> None:
        """All three slips are told at once."""
        with pytest.raises(OrderFault) as caught:
            explicit(["1", "1", "9", "3"], ["1", "2", "3", "4"])

        assert (("2", "4"), ("1",), ("9",)) == (caught.value.missing, caught.value.twice, caught.value.unknown)
        assert (
            "the order leaves out 2, 4; it names more than once 1; it names what is no position here: 9: "
            "it must visit each position exactly once"
        ) == caught.value.sentence

    @given(st.permutations(labels(12)))
    def test_any_permutation_is_an_order(self, order: list[str]) -> None:
        """Every way of visiting each once is allowed."""
        assert tuple(order) == explicit(order, labels(12))


class TestSequenceByName:
    """What a procedure file can ask for."""

    @given(st.sampled_from(get_args(SequenceName)), st.integers(1, 60), st.booleans(), st.data())
    def test_every_named_order_visits_each_once(
        self, name: SequenceName, count: int, back: bool, data: st.DataObject
    ) -> None:
        """Whatever the picture and whichever part of it."""
        layout = data.draw(st.sampled_from([ring(count), as_free(ring(count)), rows(" ".join(labels(count)))]))
        positions = data.draw(st.permutations(labels(count)))[: max(1, count // 2)]

        assert sorted(positions) == sorted(sequence(name, layout, positions, reverse=back))

    def test_reversed_runs_from_outside_in(self) -> None:
        """A head is loosened the other way around."""
        assert tuple(labels(10)[::-1]) == sequence("spiral", HEAD, labels(10), reverse=True)

    @pytest.mark.parametrize(
        "layout", [ring(8), ring(8, clockwise=False), as_free(ring(8)), as_free(ring(8, clockwise=False))]
    )
    def test_a_star_follows_the_numbers_of_the_circle(self, layout: Layout) -> None:
        """Clockwise or not, drawn as a circle or by coordinates: 1-5-3-7, 2-6-4-8."""
        assert tuple("15372648") == sequence("cross", layout, labels(8))

    def test_a_part_of_a_circle_makes_a_star_of_its_own(self) -> None:
        """Every other stud of eight is a star of four."""
        assert ("1", "5", "3", "7") == sequence("cross", ring(8), ["1", "3", "5", "7"])

    def test_once_around_follows_the_circle_and_not_the_listing(self) -> None:
        """The picture knows who stands beside whom."""
        assert ("1", "2", "4", "5") == sequence("circle", ring(6), ["4", "1", "5", "2"])

    def test_a_frame_of_rows_can_be_gone_around(self) -> None:
        """Once around the rim, in the sense in which it is listed."""
        cover = rows("1 2 3", "8 . 4", "7 6 5")

        assert tuple("12345678") == sequence("circle", cover, labels(8))
        assert tuple("18765432") == sequence("circle", cover, ["1", "8", "7", "6", "5", "4", "3", "2"])

    def test_without_a_picture_the_listing_is_the_way_around(self) -> None:
        """Positions in a line are taken as if bent to a circle."""
        line = Layout(kind="line", places=rows("a b c d").places)

        assert ("a", "c", "b", "d") == sequence("cross", line, ["a", "b", "c", "d"])


class TestNeighbours:
    """Who feels it when one is taken from the beginning."""

    def test_on_a_circle_the_two_beside_it(self) -> None:
        """The circle closes."""
        found = nearest_neighbours(ring(6), labels(6))

        assert ("6", "2") == found["1"]
        assert ("5", "1") == found["6"]

    def test_positions_of_other_groups_are_no_neighbours(self) -> None:
        """Of every other stud, the next but one is beside it."""
        assert {"1": ("5", "3"), "3": ("1", "5"), "5": ("3", "1")} == nearest_neighbours(ring(6), ["1", "3", "5"])

    def test_a_pair_has_one_neighbour_and_a_single_one_none(self) -> None:
        """Nobody is named twice, and nobody neighbours itself."""
        assert {"1": ("4",), "4": ("1",)} == nearest_neighbours(ring(6), ["1", "4"])
        assert {"1": ()} == nearest_neighbours(ring(6), ["1"])

    def test_in_rows_the_two_beside_it_and_the_nearest_above_and_below(self) -> None:
        """Left, right, above, below, where there are any."""
        found = nearest_neighbours(HEAD, [place.position for place in HEAD.places])

        assert ("10", "2", "5", "13") == found["6"]
        assert ("9", "10") == found["11"]
        assert ("2", "7", "4", "14") == found["3"]

    def test_in_rows_only_the_group_counts(self) -> None:
        """The side screws are not in the group of the head bolts."""
        found = nearest_neighbours(HEAD, labels(10))

        assert ("10", "2", "5") == found["6"]
        assert ("5", "10") == found["9"]

    def test_an_empty_row_is_looked_across(self) -> None:
        """The next row that holds any is the row above."""
        found = nearest_neighbours(rows("1 2", ". .", "3 4"), labels(4))

        assert ("4", "1") == found["3"]

    def test_of_two_as_near_in_the_next_row_the_left_one_counts(self) -> None:
        """One neighbour above, not two."""
        found = nearest_neighbours(rows("1 . 2", ". 3 ."), labels(3))

        assert ("1",) == found["3"]

    def test_free_places_have_their_two_nearest(self) -> None:
        """Of equally near ones those listed first."""
        layout = as_free(rows("1 2 3 . . 4"))

        assert {"1": ("2", "3"), "2": ("1", "3"), "3": ("2", "1"), "4": ("3", "2")} == nearest_neighbours(
            layout, labels(4)
        )

    def test_in_a_row_without_a_picture_there_is_one_beside_each_end(self) -> None:
        """Loosening the one after the next would undo work for nothing."""
        found = nearest_neighbours(Layout(kind="line", places=rows("1 2 3 4").places), labels(4))

        assert {"1": ("2",), "2": ("1", "3"), "3": ("2", "4"), "4": ("3",)} == found

    @given(st.lists(st.tuples(st.integers(-9, 9), st.integers(-9, 9)), unique=True, min_size=1, max_size=40))
    def test_no_place_is_nearer_than_the_two_nearest(self, points: list[tuple[int, int]]) -> None:
        """Compared with measuring every distance."""
        places = [Place(position=str(index), x=float(x), y=float(y)) for index, (x, y) in enumerate(points)]

        found = nearest_neighbours(Layout(kind="at", places=tuple(places)), [place.position for place in places])

        for place in places:
            others = [other for other in places if other is not place]
            others.sort(key=lambda other: (other.x - place.x) ** 2 + (other.y - place.y) ** 2)
            assert tuple(other.position for other in others[:2]) == found[place.position]

    @given(st.integers(1, 40), st.data())
    def test_beside_is_mutual_on_a_circle(self, count: int, data: st.DataObject) -> None:
        """Who stands beside another has that one beside it."""
        positions = data.draw(st.permutations(labels(count)))[: max(1, count // 2)]

        found = nearest_neighbours(ring(count), positions)

        assert set(positions) == set(found)
        assert [] == [(one, other) for one, beside in found.items() for other in beside if one not in found[other]]
