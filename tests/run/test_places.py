"""How several positions are named in one breath."""

from __future__ import annotations

import pytest

from clampbook.run.told.places import named


@pytest.mark.parametrize(
    ("positions", "told"),
    [
        (("1", "9", "5", "13"), "1, 9, 5, 13"),
        (("1", "2", "3", "4"), "1–4"),
        (("1", "2"), "1, 2"),
        (("4", "3", "2", "1"), "4, 3, 2, 1"),
        (("9", "1", "2", "3", "12"), "9, 1–3, 12"),
        (("A1", "A2", "A3"), "A1, A2, A3"),
        (("7",), "7"),
        ((), ""),
    ],
)
def test_only_what_counts_up_by_one_is_a_range(positions: tuple[str, ...], told: str) -> None:
    """Bolts are named in the order in which they are pulled: a range that is none sends the tool to the wrong one."""
    assert told == named(positions)
