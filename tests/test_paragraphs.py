"""How a text is laid in lines."""

from __future__ import annotations

from clampbook.paragraphs import laid


def test_no_number_parts_from_its_unit() -> None:
    """Whatever the width, 22.1 and lbf·ft stand in one line."""
    text = "Under: head bolt 3, 22.1 lbf·ft (30.0 N·m), 37 % of proof load"
    lines = {line for columns in range(20, 60) for line in laid(text, columns)}

    assert all(line.count("22.1") == line.count("lbf·ft") for line in lines)
    assert all(line.count("30.0") == line.count("N·m") for line in lines)


def test_a_word_longer_than_a_line_is_cut_only_where_rows_are_counted() -> None:
    """A path for copying stays whole."""
    assert ["runs/20260302-head"] == laid("runs/20260302-head", 10)
    assert ["runs/20260", "302-head"] == laid("runs/20260302-head", 10, cut=True)


def test_an_empty_text_is_an_empty_line() -> None:
    """It takes a row where rows are counted."""
    assert [""] == laid("", 10)
