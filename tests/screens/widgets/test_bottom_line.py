"""The line at the bottom: every key in use, none cut, none left out."""

from __future__ import annotations

import pytest

from clampbook.screens.widgets.bottom_line import BottomLine, KeyHint
from screens.widgets.gallery import KEYS


def test_at_eighty_columns_all_keys_stand_on_one_line() -> None:
    """The keys of a pull fit one line of a usual terminal."""
    expected = "+ clicked   - bad pull   / note   * other   *0 pause   F1 help"

    assert expected == BottomLine(KEYS).plain(80)


def test_at_forty_columns_they_take_two() -> None:
    """On a zoomed terminal the line wraps between two keys."""
    expected = ["+ clicked   - bad pull   / note", "* other   *0 pause   F1 help"]

    assert expected == BottomLine(KEYS).plain(40).split("\n")


@pytest.mark.parametrize("width", range(8, 90))
def test_no_key_is_left_out_at_any_width(width: int) -> None:
    """Whatever the width, every key and what it does can be found."""
    shown = BottomLine(KEYS).plain(width)

    assert [] == [hint for hint in KEYS if f"{hint.key} {hint.text}" not in shown]


def test_keys_move_closer_before_a_third_line_is_taken() -> None:
    """Two blanks between keys are enough where they save a line."""
    hints = tuple(KeyHint(str(n), "x" * 7) for n in range(6))

    assert 2 == len(BottomLine(hints).plain(31).split("\n"))


def test_what_does_not_show_is_written_out() -> None:
    """A sign that turns the writing direction never reaches the terminal."""
    assert "x a\\u{202e}b" == BottomLine((KeyHint("x", "a\u202eb"),)).plain(40)
