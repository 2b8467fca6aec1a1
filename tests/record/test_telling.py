"""How the report tells what the record holds: names instead of ids."""

from __future__ import annotations

import pytest

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


@pytest.mark.parametrize(
    ("kept", "shown"),
    [
        ("w5 did not read zero", "Slipway 750 did not read zero"),
        ("w5: zero not known", "Slipway 750: zero not known"),
        ("w5 dropped, not used again", "Slipway 750 dropped, not used again"),
        ("w5 suspect since line 9: it failed", "Slipway 750 suspect since line 9: it failed"),
        ("pull over: 43.4 N·m, wanted 38 to 42 N·m; w5: zero not known", None),
    ],
)
def test_a_deviation_about_a_tool_has_its_name(kept: str, shown: str | None) -> None:
    """Nobody at a bench knows an id; the record keeps it, so that its bytes stay."""
    expected = shown or "pull over: 43.4 N·m, wanted 38 to 42 N·m; Slipway 750: zero not known"
    assert expected == Telling(RECORD).departed(kept)
