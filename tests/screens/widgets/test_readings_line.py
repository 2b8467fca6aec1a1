"""The last readings: position, mark, number; a release never looks like a number."""

from __future__ import annotations

from clampbook.screens.widgets.readings_line import Read, ReadingsLine
from screens.widgets.gallery import READS


def test_each_reading_stands_with_its_position_and_mark() -> None:
    """The mark says what became of it, without any colour."""
    line = ReadingsLine((Read("1", "within", "22.4"), Read("2", "under", "20.1"), Read("3", "over", "24.9")))

    assert "1 ● 22.4   2 ▄ 20.1   3 ▀ 24.9" == line.plain(80)


def test_a_release_says_its_word_instead_of_a_number() -> None:
    """No number exists, so none is shown."""
    assert "2 ○ released" == ReadingsLine((Read("2", "released"),)).plain(80)


def test_the_oldest_ones_go_where_there_is_no_room() -> None:
    """The newest reading is always there."""
    assert "4 ▄ 20.1   5 ▀ 24.9" == ReadingsLine(READS).plain(24)


def test_the_newest_one_stays_even_where_it_does_not_fit() -> None:
    """Cut off rather than missing."""
    assert "5 ▀ 24.9" == ReadingsLine(READS).plain(3)


def test_the_unit_is_named_once_behind_the_numbers_that_have_it() -> None:
    """A release has none; another tool's unit is named with its own numbers."""
    in_one = (Read("1", "within", "22.4", "lbf·ft"), Read("2", "released"), Read("3", "under", "20.1", "lbf·ft"))
    changed = (Read("1", "within", "22.4", "lbf·ft"), Read("2", "within", "30.1", "N·m"), Read("3", "released"))

    assert "1 ● 22.4   2 ○ released   3 ▄ 20.1 lbf·ft" == ReadingsLine(in_one).plain(80)
    assert "1 ● 22.4 lbf·ft   2 ● 30.1 N·m   3 ○ released" == ReadingsLine(changed).plain(80)


def test_the_unit_has_its_room() -> None:
    """A reading that would push it off the line goes instead."""
    two = (Read("1", "within", "22.4", "lbf·ft"), Read("2", "under", "20.1", "lbf·ft"))

    assert "2 ▄ 20.1 lbf·ft" == ReadingsLine(two).plain(24)
    assert "1 ● 22.4   2 ▄ 20.1 lbf·ft" == ReadingsLine(two).plain(26)
