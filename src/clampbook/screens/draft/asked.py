"""One question over the drafting screen: an answer by number or in words, or Esc and nothing has changed."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from clampbook.screens.hinting import GO_ON
from clampbook.screens.questions import Line, Question, Questions
from clampbook.screens.widgets.bottom_line import KeyHint


class Asked(Questions):
    """`choices` are texts by what they mean; `chosen` gets that, or the line that was typed where there are none.
    `unanswered` is called after Esc. `deed` is what Enter does.
    """

    then = ("Esc goes back to the text, and nothing has changed.",)

    def __init__(
        self,
        title: str,
        name: str,
        text: str,
        choices: Mapping[str, str],
        chosen: Callable[[str], None],
        unanswered: Callable[[], None] | None = None,
        *,
        deed: str = GO_ON.text,
    ) -> None:
        self.enter = KeyHint("Enter", deed)
        self._unanswered = unanswered
        self._title, self._meant, self._chosen = title, tuple(choices), chosen
        lines = tuple(Line(str(number), each) for number, each in enumerate(choices.values(), 1))
        super().__init__(Question(name, text, "choice" if choices else "line", lines))

    def heading(self) -> str:
        """Name the file."""
        return self._title

    def take(self, line: str) -> None:
        """The answer, once this question is gone."""
        if not self._meant:
            self._answered(line)
            return
        place = self.picked(line)
        if place is not None:
            self._answered(self._meant[place])

    def _answered(self, meant: str) -> None:
        self.dismiss()
        self.app.call_later(self._chosen, meant)

    def back(self) -> None:
        """Nothing has changed."""
        if not self.is_current:
            return
        self.dismiss()
        if self._unanswered is not None:
            self.app.call_later(self._unanswered)
