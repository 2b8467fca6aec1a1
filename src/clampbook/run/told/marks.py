"""The mark that stands beside each word of an outcome, so that nothing is told by colour alone."""

from __future__ import annotations

from typing import Literal

from clampbook.run.fold.acts import TOO_FAR_APART
from clampbook.run.progress import Outcome

Mark = Outcome | Literal["to do"]
Judged = Outcome | Literal["too far apart"]  # of a position, or of points together

TO_DO = "·"
MARKS: dict[Judged, str] = {
    "within": "●",
    "under": "▄",
    "over": "▀",
    "clicked": "○",
    "confirmed": "○",
    "moved": "!",
    "loosened": "○",
    "applied": "○",
    "concession": "◆",
    "broken": "!",
    TOO_FAR_APART: "!",
    "void": "×",
    "unknown": "?",
    "skipped": "–",
    "to do again": "↺",
}


def marked(outcome: Judged) -> str:
    """The outcome as a word with its mark: "within ●"."""
    word = "by concession" if outcome == "concession" else outcome
    return f"{word} {MARKS[outcome]}"
