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
