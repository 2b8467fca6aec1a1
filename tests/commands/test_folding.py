"""Long lines in a terminal: folded between words, and whole where nobody looks."""

from __future__ import annotations

import pytest

from clampbook.commands.folding import folded

LINE = "  begins to yield at about 51.6 kN, 83.0 N·m (61.2 lbf·ft), twist counted"


def test_a_line_is_folded_between_words_and_stands_further_in(monkeypatch: pytest.MonkeyPatch) -> None:
    """No word is cut, and no number is parted from its unit, at 40 columns."""
    monkeypatch.setenv("COLUMNS", "40")
    found = list(folded([LINE, "short"]))

    assert ["  begins to yield at about 51.6 kN,", "    83.0 N·m (61.2 lbf·ft), twist", "    counted", "short"] == found


def test_at_any_width_a_number_keeps_its_unit(monkeypatch: pytest.MonkeyPatch) -> None:
    """From 20 to 80 columns."""
    for width in range(20, 81):
        monkeypatch.setenv("COLUMNS", str(width))
        assert not [line for line in folded([LINE]) if line.rstrip()[-1].isdigit()]


def test_in_a_pipe_every_line_is_whole(monkeypatch: pytest.MonkeyPatch) -> None:
    """What reads them line by line gets them as they are."""
    monkeypatch.delenv("COLUMNS", raising=False)

    assert [LINE, "", "  hint"] == list(folded([f"{LINE}\n\n  hint"]))
