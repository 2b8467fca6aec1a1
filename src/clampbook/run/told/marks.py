"""The mark that stands beside each word of an outcome, so that nothing is told by colour alone."""

from __future__ import annotations

from typing import Literal

from clampbook.run.progress import Outcome

Mark = Outcome | Literal["to do"]

TO_DO = "·"
MARKS: dict[Outcome, str] = {
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
    "void": "×",
    "unknown": "?",
    "skipped": "–",
    "to do again": "↺",
}


def marked(outcome: Outcome) -> str:
    """The outcome as a word with its mark: "within ●"."""
    word = "by concession" if outcome == "concession" else outcome
    return f"{word} {MARKS[outcome]}"
