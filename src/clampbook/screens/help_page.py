"""Help at a screen: what is wanted there and its keys. F1 once more leads to the topics."""

from __future__ import annotations

from collections.abc import Sequence

from clampbook.screens.page import KEYS, Page
from clampbook.screens.widgets.bottom_line import KeyHint

_TOPICS = KeyHint("F1", "topics")


class HelpPage(Page, inherit_bindings=True):
    """A page of help."""

    def __init__(self, heading: str, lines: Sequence[str]) -> None:
        super().__init__(heading, lines, (_TOPICS, *KEYS))

    def explain(self) -> None:
        """F1: every topic."""
        from clampbook.screens.topics import Topics

        self.app.push_screen(Topics())
