"""Lists on the screen: long lines that go on, and where they go on."""

from __future__ import annotations

from rich.cells import cell_len

from clampbook.run.answers import Plus
from clampbook.run.prompts import Choice
from clampbook.screens.choosing import choices_shown, wrapped
from clampbook.screens.questions import Line

TOOLS = (
    Line("1", "W1, setting tool, 4.0–40.0 N·m"),
    Line("10", "W5, indicating tool; 22.1 lbf·ft lies outside the middle half of W5's scale, 32.5 to 77.5 lbf·ft"),
)


def test_a_long_line_goes_on_below_its_text() -> None:
    """The keys stand alone at the edge, so that the eye finds them."""
    shown = choices_shown(TOOLS, "", 38).plain.splitlines()

    assert [" 1  W1, setting tool, 4.0–40.0 N·m", "10  W5, indicating tool; 22.1 lbf·ft"] == shown[:2]
    assert all(line.startswith("    ") and cell_len(line) <= 38 for line in shown[2:])


def test_what_a_choice_costs_stands_below_it_where_its_line_is_full() -> None:
    """No way to go on hides its cost beside one that shows it."""
    costs = "loosens 1 bolt, about 2 pulls"
    ways = (
        Choice("1", "Start over: loosen fully, inspect, repeat every stage", "1", Plus(), costs=costs),
        Choice("2", "Start over with a new cap bolt", "2", Plus(), costs=costs),
    )

    shown = choices_shown(ways, "", 77).plain.splitlines()

    assert "1  Start over: loosen fully, inspect, repeat every stage" == shown[0]
    assert costs == shown[1].strip()
    assert shown[2].startswith("2  Start over with a new cap bolt  ") and shown[2].endswith(costs)
    assert {77} == {cell_len(line) for line in shown[1:]}


def test_no_line_ends_on_the_sign_between_its_parts() -> None:
    """The end of the line parts them well enough."""
    assert ["Whinchat's head · Ines", "since 2 Mar 09:14"] == wrapped("Whinchat's head · Ines · since 2 Mar 09:14", 24)
    assert ["Whinchat's head · Ines", "since 2 Mar 09:14"] == wrapped("Whinchat's head · Ines · since 2 Mar 09:14", 22)


def test_a_word_that_is_too_long_stands_by_itself() -> None:
    """It is not cut: whoever reads it may need all of it."""
    assert ["in", "crank-bearing-caps", "there"] == wrapped("in crank-bearing-caps there", 8)


def test_a_line_is_broken_between_whole_parts() -> None:
    """What belongs together is read together; only a part that is too long by itself is broken within."""
    assert ["Head · Ines", "step 1 of 54, paused"] == wrapped("Head · Ines · step 1 of 54, paused", 26)
    assert ["Shaft tunnel flange,", "sixteen bolts", "draft"] == wrapped(
        "Shaft tunnel flange, sixteen bolts · draft", 20
    )
