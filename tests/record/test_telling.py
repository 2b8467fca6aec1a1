"""How the report tells what the record holds: names instead of ids."""

from __future__ import annotations

from clampbook.record.pages.telling import Telling

RECORD = {"tool": [{"tool": "w5", "name": "Slipway 750"}, {"tool": "w7", "name": "W7"}]}


def test_what_puts_a_reading_in_doubt_names_the_tool_as_it_is_called() -> None:
    """The record keeps ids, which stay the same for ever; people know the name on the tool."""
    kept = "w5: dropped at line 9; w7: suspect at line 12, it failed its check; w5: zero wrong at line 14"

    expected = (
        "Slipway 750: dropped at line 9; W7: suspect at line 12, it failed its check; "
        "Slipway 750: zero wrong at line 14"
    )
    assert expected == Telling(RECORD).question(kept)


def test_other_words_of_a_suspicion_stay() -> None:
    """Only an id before what happened to the tool is one."""
    assert "w5: something else" == Telling(RECORD).question("w5: something else")
