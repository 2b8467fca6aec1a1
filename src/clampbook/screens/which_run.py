"""Several runs are open: which one is taken up again?"""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from msgspec.structs import replace

from clampbook.ledger.refusals import LedgerFault
from clampbook.screens.opening import Wanted, begin
from clampbook.screens.questions import Line, Question, Questions

if TYPE_CHECKING:
    from clampbook.book.book import Book
    from clampbook.ledger.stamp import Clock
    from clampbook.run_folder import RunFolder
    from clampbook.screens.app import Clampbook


class WhichRun(Questions):
    """The open runs by number."""

    then = (
        "The run of that number is gone on with where it was left; who is there is asked first.",
        "Esc leaves the program, and every run stays as it is.",
    )

    def __init__(self, app: Clampbook, book: Book, clock: Clock, wanted: Wanted, runs: tuple[RunFolder, ...]) -> None:
        choices = tuple(Line(str(number), run.id) for number, run in enumerate(runs, 1))
        super().__init__(Question("run", "Which run is taken up again?", "choice", choices))
        self._runs = runs
        self._chosen = partial(_chosen, app, book, clock, wanted)

    def take(self, line: str) -> None:
        """Go on with the run of this number."""
        place = self.picked(line)
        if place is not None:
            self._chosen(self._runs[place])

    def back(self) -> None:
        """Nothing is taken up."""
        self.app.exit()


def _chosen(app: Clampbook, book: Book, clock: Clock, wanted: Wanted, run: RunFolder) -> None:
    try:
        app.push_screen(begin(app, book, clock, replace(wanted, run=run)))
    except LedgerFault as fault:
        app.screen.tell(fault.sentence)  # type: ignore[attr-defined]
