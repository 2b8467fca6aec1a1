"""The map in words: the same positions, in the order in which a person's eye would meet them."""

from __future__ import annotations

from clampbook.screens.widgets.map_words import text_equivalent
from screens.widgets.gallery import EVERY_MARK, FITS, HEAD, circle, rows


def test_rows_are_read_from_the_far_edge_to_ones_own() -> None:
    """Every position with its state in a word, and the one now."""
    expected = [
        "you stand at the exhaust side; far side: inlet side; on the left: front",
        "row 1 from the left: 11 to do again, 9 unknown, 5 over, 1 clicked, 4 under, 8 void, 12 to do",
        "row 2 from the left: 10 skipped, 6 by concession, 2 within, 3 to do, the one now, 7 broken",
        "row 3 from the left: 13 to do, 14 to do",
    ]

    assert expected == text_equivalent(HEAD, EVERY_MARK, ("3",)).split("\n")


def test_turned_around_the_same_rows_come_the_other_way() -> None:
    """From the other side of the engine the last row is the first."""
    told = text_equivalent(HEAD, {}, (), quarters=2).split("\n")

    assert "you stand at the inlet side; far side: exhaust side; on the right: front" == told[0]
    assert "row 1 from the left: 14 to do, 13 to do" == told[1]


def test_seen_from_below_it_says_so() -> None:
    """Left and right have changed places."""
    told = text_equivalent(HEAD, {}, (), from_below=True)

    assert "on the right: front; seen from below" in told


def test_a_circle_is_told_the_way_the_clock_goes() -> None:
    """From the far side around, as somebody at the flange would count."""
    told = text_equivalent(circle(4), {"3": "within"}, ("1",)).split("\n")

    assert "around from the far side, clockwise: 1 to do, the one now, 2 to do, 3 within, 4 to do" == told[1]


def test_of_a_form_nobody_stands_anywhere() -> None:
    """It is told as it is printed: what is far is above."""
    head = text_equivalent(HEAD, {}, (), on_form=True).split("\n")
    flange = text_equivalent(circle(4), {}, (), on_form=True).split("\n")

    assert "as on the form; above: inlet side; below: exhaust side; on the left: front" == head[0]
    assert "as on the form" == flange[0]
    assert flange[1].startswith("around from the top, clockwise: 1 to do, ")


def test_different_fasteners_are_named() -> None:
    """What the underlining shows to the eye is said in words."""
    told = text_equivalent(HEAD, {}, (), fits=FITS).split("\n")

    assert ["M10x1.25 x 91 mm: 1, 2, 3, 4", "M10x1.25 x 79.5 mm: 5, 6, 7, 8, 9, 10"] == told[-2:]


def test_a_single_row_has_no_number() -> None:
    """Nothing is said that does not help."""
    told = text_equivalent(rows("1 2"), {}).split("\n")

    assert ["you stand at the near side", "from the left: 1 to do, 2 to do"] == told
