"""Positions as people write them."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from clampbook.procedure.labels import MOST_POSITIONS, expanded, listed, named
from clampbook.procedure.slips import Slips


def read(*pieces: str) -> tuple[tuple[str, ...], list[str]]:
    """Labels, and the codes of what was wrong."""
    slips = Slips()
    labels = expanded(slips, ("group", 0, "positions"), pieces)
    return labels, [str(slip.code) for slip in slips.found]


@pytest.mark.parametrize(
    ("written", "labels"),
    [
        ("1-4", "1 2 3 4"),
        ("1-4, 7", "1 2 3 4 7"),
        ("1 – 4; 7", "1 2 3 4 7"),
        ("11 9 5", "11 9 5"),
        ("4-1", "4 3 2 1"),
        ("A1-A3", "A1 A2 A3"),
        ("A1-3", "A1 A2 A3"),
        ("A-D", "A B C D"),
        ("a-c", "a b c"),
        ("08-11", "08 09 10 11"),
        ("front, rear", "front rear"),
        ("L-1", "L-1"),
        ("Ö1-Ö2", "Ö1 Ö2"),
        ("A1-B3", "A1-B3"),
    ],
)
def test_ranges_and_lists_are_counted_out(written: str, labels: str) -> None:
    """Ranges run up or down; what is no range is a label."""
    assert (tuple(labels.split()), []) == read(written)


def test_a_list_is_read_like_a_text() -> None:
    """Each entry of a list may be a range."""
    assert (("1", "2", "3", "7"), []) == read("1-3", "7")


@pytest.mark.parametrize("written", ["1/2", "a@b", '"1"', "[1]", "x" * 25, "."])
def test_signs_of_the_names_of_steps_are_no_labels(written: str) -> None:
    """The names of steps are made with / and @, so that no position can have them."""
    assert ((), ["E210"]) == read(written)


@pytest.mark.parametrize("pieces", [("",), (" , ",), ()])
def test_nothing_is_no_position(pieces: tuple[str, ...]) -> None:
    """An empty text names none, and that is told."""
    labels, codes = read(*pieces)

    assert () == labels
    assert codes in (["E210"], [])


def test_a_slip_in_a_range_does_not_fill_the_memory() -> None:
    """A range that nobody can mean is refused."""
    labels, codes = read("1-999999")

    assert ["E233"] == codes
    assert len(labels) <= MOST_POSITIONS


@given(st.integers(1, 500), st.integers(1, 500))
def test_a_range_holds_both_ends_and_all_between(first: int, last: int) -> None:
    """Counted like on the fingers."""
    labels, codes = read(f"{first}-{last}")

    assert [] == codes
    assert (str(first), str(last), abs(first - last) + 1) == (labels[0], labels[-1], len(set(labels)))


@given(st.text(max_size=30))
def test_any_text_gives_labels_or_a_slip(written: str) -> None:
    """Nothing that is written breaks the reading, and no label holds a blank."""
    labels, _ = read(written)

    assert [] == [label for label in labels if any(map(str.isspace, label)) or "/" in label]


def test_many_labels_are_not_all_listed() -> None:
    """A sentence stays a sentence."""
    assert "1, 2, 3, 4, 5, 6 and 4 more" == listed([str(n) for n in range(1, 11)])
    assert ("position 3", "sets a, b") == (named(["3"]), named(["a", "b"], "set"))
