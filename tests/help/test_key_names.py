"""Somebody looks for a key of the keyboard: what it does comes first."""

from __future__ import annotations

import pytest

from clampbook.help.finding import found
from clampbook.help.key_names import key_meant

FIRST = {
    "*": "\\* opens the other actions",
    "-": "\\- at a pull: it was bad",
    "+": "\\+ or the space bar says that an act is done",
    "/": "/ writes a note.",
    "esc": "Esc goes back, and nothing changes.",
    "Tab": "Tab or Enter takes a line",
    "F9": "F9 lists what can stand at the cursor.",
    "Ctrl-Z": "Ctrl-Z undoes",
    "ctrl+z": "Ctrl-Z undoes",
    "Page Down": "PgUp PgDn move the page",
}


@pytest.mark.parametrize(("typed", "told"), FIRST.items())
def test_a_key_is_told_by_the_page_about_keys(typed: str, told: str) -> None:
    """However somebody writes its name."""
    first = found(typed)[0]

    assert "keys" == first.topic.name
    assert told in "\n".join(first.lines)


def test_a_sign_is_looked_for_in_no_other_page() -> None:
    """It stands in every list there."""
    assert {"keys"} == {place.topic.name for place in found("-")}


def test_other_pages_that_tell_of_a_key_come_after() -> None:
    """Such as what Tab completes in a shell; a word that begins like it is not meant."""
    places = ["\n".join(place.lines) for place in found("tab")]

    assert any(each.startswith("Tab completes commands") for each in places)
    assert not any("tables: say" in each for each in places)


@pytest.mark.parametrize("word", ["torque", "end", "f", "control", "f-number"])
def test_a_word_is_no_key(word: str) -> None:
    """It is searched for as ever."""
    assert key_meant(word) is None
