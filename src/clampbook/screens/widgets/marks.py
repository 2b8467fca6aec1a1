"""The marks of the map and of the readings, each with the word and the tone that go with it."""

from __future__ import annotations

from typing import Final

from clampbook.run.told import marks
from clampbook.run.told.marks import Mark as Mark

# Only what somebody must look at has a tone; all else is ink, and what is still to do is quiet.
_TONES: Final[dict[Mark, str]] = {
    "to do": "quiet",
    "under": "under",
    "over": "over",
    "concession": "concession",
    "broken": "over",
}


def sign(mark: Mark) -> str:
    """The one sign of a mark, such as ● for within."""
    return marks.TO_DO if mark == "to do" else marks.MARKS[mark]


def word(mark: Mark) -> str:
    """The word that goes with the sign."""
    return "by concession" if mark == "concession" else mark


def tone(mark: Mark) -> str:
    """The name of the tone a mark is painted in: ink, quiet, under, over or concession."""
    return _TONES.get(mark, "ink")
