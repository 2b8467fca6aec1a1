"""Several runs are open: the question which one to resume."""

from __future__ import annotations

from collections.abc import Callable

from clampbook.run.gather.asking import WHICH_RUN
from clampbook.run_folder import RunFolder
from clampbook.screens.questions import Line, Question, Questions


class WhichRun(Questions):
    """The open runs by number; `chosen` is called with the one that was taken."""

    then = (
        "You say who you are. Then the run goes on at its next step.",
        "Esc quits. Every run stays as it is.",
    )

    def __init__(self, runs: tuple[RunFolder, ...], chosen: Callable[[RunFolder], None]) -> None:
        choices = tuple(Line(str(number), run.id) for number, run in enumerate(runs, 1))
        super().__init__(Question("run", WHICH_RUN, "choice", choices))
        self._runs = runs
        self._chosen = chosen

    def take(self, line: str) -> None:
        """Resume the run of this number."""
        place = self.picked(line)
        if place is not None:
            self._chosen(self._runs[place])

    def back(self) -> None:
        """Nothing is resumed."""
        self.app.exit()
