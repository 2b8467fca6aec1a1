"""Several runs are open: which one is taken up again?"""

from __future__ import annotations

from collections.abc import Callable

from clampbook.run_folder import RunFolder
from clampbook.screens.questions import Line, Question, Questions


class WhichRun(Questions):
    """The open runs by number; `chosen` is called with the one that was taken."""

    then = (
        "The run of that number is gone on with where it was left; who is there is asked first.",
        "Esc leaves the program, and every run stays as it is.",
    )

    def __init__(self, runs: tuple[RunFolder, ...], chosen: Callable[[RunFolder], None]) -> None:
        choices = tuple(Line(str(number), run.id) for number, run in enumerate(runs, 1))
        super().__init__(Question("run", "Which run is taken up again?", "choice", choices))
        self._runs = runs
        self._chosen = chosen

    def take(self, line: str) -> None:
        """Go on with the run of this number."""
        place = self.picked(line)
        if place is not None:
            self._chosen(self._runs[place])

    def back(self) -> None:
        """Nothing is taken up."""
        self.app.exit()
