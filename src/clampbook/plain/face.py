"""Sentences that a face of plain mode must be able to say; the loop is the same for words and for JSON objects."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Protocol

from clampbook.run.events import Event
from clampbook.run.gather.draft import Part
from clampbook.run.prompts import Prompt
from clampbook.run.session import Session


class Face(Protocol):
    """One way of showing the walk. Each call shows its matter at once and completely."""

    def ask(self, prompt: Prompt, session: Session) -> None:
        """Show what is asked now."""

    def ask_part(self, part: Part, prompt: Prompt | None) -> None:
        """Show one question of several; no prompt where no run exists yet."""

    def stored(self, event: Event, session: Session) -> None:
        """Say what was stored."""

    def refused(self, sentence: str) -> None:
        """Say why an answer was not taken."""

    def unusual(self, sentence: str) -> None:
        """Say that a value may be a slip."""

    def tell(self, lines: Sequence[str]) -> None:
        """Say something that is no answer and asks nothing."""

    def finished(self, outcome: str, run: str, sentence: str, late: str | None = None) -> None:
        """Say that the walk is over, or over for today. `late` tells how a paper form was closed."""
