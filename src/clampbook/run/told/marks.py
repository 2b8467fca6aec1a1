"""The mark that stands beside each word of an outcome, so that nothing is told by colour alone."""

from __future__ import annotations

from clampbook.run.progress import Outcome

TO_DO = "·"
MARKS: dict[Outcome, str] = {
    "within": "●",
    "under": "▄",
    "over": "▀",
    "released": "○",
    "confirmed": "○",
    "moved": "!",
    "loosened": "○",
    "applied": "○",
    "concession": "◆",
    "broken": "!",
    "void": "×",
    "unknown": "?",
    "set aside": "–",
    "to do again": "↺",
}


def marked(outcome: Outcome) -> str:
    """The outcome as a word with its mark: "within ●"."""
    word = "by concession" if outcome == "concession" else outcome
    return f"{word} {MARKS[outcome]}"
