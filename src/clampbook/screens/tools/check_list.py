"""The checks of a tool that are over, each to be read."""

from __future__ import annotations

from clampbook.screens.page import Page
from clampbook.screens.questions import Line, Question, Questions
from clampbook.screens.tools.past import PastCheck, pages


class CheckList(Questions):
    """The latest first; the one chosen is opened."""

    then = ("The check opens. Esc goes back to this list.",)

    def __init__(self, tool: str, past: tuple[PastCheck, ...]) -> None:
        self.past = tuple(reversed(past))
        self._tool = tool
        rows = tuple(Line(str(number), check.text) for number, check in enumerate(self.past, 1))
        super().__init__(Question("check", "Which check do you want to read?", "choice", rows))

    def heading(self) -> str:
        """The top line."""
        return f"Checks of {self._tool}"

    def take(self, line: str) -> None:
        """Open the check of this number."""
        place = self.picked(line)
        if place is not None:
            check = self.past[place]
            self.app.push_screen(Page(check.folder.id, pages(check)))

    def back(self) -> None:
        """Back to the tool."""
        if self.is_current:
            self.dismiss()
