"""A word is found wherever it stands in the topics, and what tells most comes first."""

from __future__ import annotations

import re

import pytest

from clampbook.help.finding import found, meant
from clampbook.help.keys import OF_THE_TOOLS, keys_of
from clampbook.procedure.tables import OF_A_PROCEDURE

KEYS = sorted(
    {key.name for table in OF_A_PROCEDURE | OF_THE_TOOLS for key in keys_of(table)} - {"do"}
)  # do stands in the headings


@pytest.mark.parametrize("key", KEYS)
def test_every_key_of_a_file_is_found(key: str) -> None:
    """At the line that explains it, before all that only names it."""
    (first, *_) = found(key)

    assert re.match(rf"- `(\[\[?(\w+\.)?)?{key}\b", first.lines[0])


def test_a_word_is_found_by_how_it_begins_in_any_case() -> None:
    """And not in the middle of another one."""
    assert 'Procedure files · `[[stage]]` with `do = "align"`' in {place.where for place in found("CASTLE nu")}
    assert () == found("astle")


def test_all_words_must_stand_there() -> None:
    """More words find fewer places."""
    assert set(found("torque limit")) < set(found("torque"))
    assert () == found("split zebra")


def test_of_code_the_lines_around_are_shown() -> None:
    """A whole example would hide its line."""
    (place,) = [place for place in found("adjust_at_most") if place.is_code]

    assert "adjust_at_most = 3" in place.lines
    assert 3 <= len(place.lines) <= 5


def test_nothing_is_found_for_nothing() -> None:
    """An empty search shows no page at all."""
    assert () == found("") == found("   ")


def test_a_word_that_was_mistyped_brings_the_nearest() -> None:
    """As long as one is near."""
    assert "torque" == meant("torqe")
    assert meant("qqqqqqqq") is None


def test_a_word_of_another_language_brings_none() -> None:
    """Half of its letters in common is not near."""
    assert meant("Drehmoment") is None
    assert "calibration" == meant("cilbration")
