"""A small share of the long tests, so that no row goes blind; the whole table is `python tests/endurance/run.py`."""

from __future__ import annotations

from pathlib import Path

import pytest

from endurance.table import ROWS


@pytest.mark.endurance
@pytest.mark.parametrize("name", [name for name, row in ROWS.items() if row.quick])
def test_a_few_tries_of_each_row(name: str, tmp_path: Path) -> None:
    """None fails."""
    found = ROWS[name].test(tmp_path, ROWS[name].quick, 7)

    assert [] == found.failures
    assert found.tries >= ROWS[name].quick
