"""Short and long bolts of one group, told apart by a word."""

from __future__ import annotations

import pytest
from small_joints import bolts

from clampbook.run.told.lengths import kind


@pytest.mark.parametrize(
    ("fits", "words"),
    [
        ({"1": "M10x1.25 x 91 mm", "2": "M10x1.25 x 79.5 mm"}, ("long", "short")),
        ({"1": "M6 x 20", "2": "M6 x 35", "3": "M6 x 28"}, ("short", "long", "middle")),
        ({"1": "M6 x 20", "2": "M8 x 35"}, ("", "")),
        ({"1": "M6 x 20", "2": "M6 x 20"}, ("", "")),
        ({"1": "M6 x 20", "2": "M6 stud"}, ("", "")),
        ({}, ("", "")),
    ],
)
def test_only_what_differs_in_its_length_alone_is_long_or_short(fits: dict[str, str], words: tuple[str, ...]) -> None:
    """Another thread, or a fastener whose length nobody wrote, is no longer one of a pair."""
    group = bolts(3, fits=fits)

    assert words == tuple(kind(group, position) for position in ("1", "2", "3")[: len(words)])
