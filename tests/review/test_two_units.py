"""Slips of units that the words of a file give away, and words that are all right."""

from __future__ import annotations

from decimal import Decimal

import pytest

from clampbook.review.two_units import torques_in
from clampbook.units import Quantity

from .sheets import COVER, changed, codes, queries

WORDS = "step 4: 35 N·m (26 lbf·ft)"


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("step 4: 55 lbf·ft, oiled", [("55", "lbf·ft")]),
        ("55 ft-lb or 74.6 Nm", [("55", "lbf·ft"), ("74.6", "N·m")]),
        ("120 in-lb", [("120", "lbf·in")]),
        ("5,5 kgf·m", [("5.5", "kgf·m")]),
        ("sheet 55, 4 mm, page 12, 90°, 5 min", []),
        ("", []),
    ],
)
def test_torques_are_found_in_words(text: str, found: list[tuple[str, str]]) -> None:
    """As people write them beside a stage; pages, lengths and angles are none."""
    assert [Quantity(Decimal(number), unit) for number, unit in found] == list(torques_in(text))


@pytest.mark.parametrize("words", ["35 lbf·ft", "35 lbf·in, dry", "sheet says 35 ft-lb", "35.1 lbf ft"])
def test_same_number_in_another_unit_is_queried(words: str) -> None:
    """55 lbf·ft typed as 55 N·m leaves a joint at three quarters of its torque."""
    assert ["W412"] == codes(changed(COVER, WORDS, words))


@pytest.mark.parametrize("words", ["35 N·m", "26 lbf·ft", "25.8 lbf·ft", "310 lbf·in", "after 20 lbf·ft", "step 35"])
def test_torque_that_agrees_or_is_another_one_is_not_queried(words: str) -> None:
    """The same torque in another unit is what a good sheet says; other torques are of other stages."""
    assert [] == codes(changed(COVER, WORDS, words))


def test_target_of_the_group_is_held_against_its_stages() -> None:
    """A group's target in one unit and a stage with its number in another cannot both be right."""
    text = changed(changed(COVER, WORDS, "step 4"), "grip =", 'target = "35 lbf·ft"\ngrip =')

    assert ["W412"] == codes(text)


def test_figure_of_a_slip_says_by_how_much() -> None:
    """1 lbf·ft is 1.3558 N·m (NIST SP 811, B.8)."""
    assert "47.5 N·m, 1.36 times as much" in queries(changed(COVER, WORDS, "35 lbf·ft"))[0].text


def test_sheet_that_mixes_units_all_along_is_not_queried() -> None:
    """Where most torques are in another unit than `unit` says, somebody meant it."""
    text = COVER.replace("20 N·m", "15 lbf·ft").replace("35 N·m", "26 lbf·ft").replace("±1 N·m", "±1 lbf·ft")

    assert [] == codes(text)


def test_inches_beside_feet_are_not_queried() -> None:
    """A sheet in pounds has small screws in lbf·in."""
    text = (
        changed(COVER, 'unit = "N·m"', 'unit = "lbf·ft"')
        .replace(" N·m", " lbf·ft")
        .replace('"20 lbf·ft"', '"130 lbf·in"')
    )

    assert "W419" not in codes(text)


def test_a_torque_among_shares_in_another_unit_is_queried() -> None:
    """Shares of a target speak the sheet's unit as well: 15 lbf·ft beside two of 100 % is the odd one."""
    text = changed(changed(COVER, WORDS, "step 4"), "grip =", 'target = "35 N·m"\ngrip =')
    shares = text.replace('to = "35 N·m"', 'to = "100 %"').replace('at = "35 N·m"', 'at = "100 %"')

    assert [] == codes(shares)
    assert ["W419"] == codes(changed(shares, 'to = "20 N·m"', 'to = "15 lbf·ft"'))
