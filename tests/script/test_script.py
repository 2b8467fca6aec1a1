"""The words of the program, read like a script: they stand in the files beside this, and nowhere else as a whole."""

from __future__ import annotations

from pathlib import Path

import pytest

from script.walked import RUNS, script, sentences

HERE = Path(__file__).parent
_ONE_LINE = 80


@pytest.mark.parametrize("run", RUNS)
def test_what_is_asked_and_told_stands_in_the_script(run: str) -> None:
    """A changed word is read in its file: `python tests/script/anew.py`, then `git diff`."""
    assert (HERE / f"{run}.txt").read_text(encoding="utf-8") == script(run)


@pytest.mark.parametrize("run", RUNS)
def test_a_step_is_one_line(run: str) -> None:
    """Bolt, verb and number are read at a glance, at 80 columns."""
    assert [] == [sentence for sentence in sentences(run) if len(sentence) > _ONE_LINE]
