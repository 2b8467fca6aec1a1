"""The records: the runs that are over, each to be read as it was written down."""

from __future__ import annotations

from typing import TYPE_CHECKING

from clampbook.ledger.refusals import LedgerFault
from clampbook.screens.page import Page
from clampbook.screens.questions import Line, Question, Questions
from clampbook.screens.standing import closed_runs, day_and_time

if TYPE_CHECKING:
    from clampbook.book.book import Book
    from clampbook.run_folder import RunFolder


class Records(Questions):
    """All closed runs, the latest first; the one chosen is opened."""

    def __init__(self, book: Book) -> None:
        self.runs = closed_runs(book)
        rows = tuple(Line(str(number), _row(run)) for number, run in enumerate(self.runs, 1))
        super().__init__(Question("record", "Which record is to be read? Type its number.", "choice", rows))

    def heading(self) -> str:
        """The top line."""
        return "Records"

    def take(self, line: str) -> None:
        """Open the record of this number."""
        keys = [choice.key for choice in self.part.choices]
        self.field = ""
        if line.strip() not in keys:
            self.tell(f"{line} is not on the list." if line else "")
            return
        run = self.runs[keys.index(line.strip())]
        try:
            self.notice = ""
            self.paint()
            self.app.push_screen(Page(run.id, _text(run).splitlines()))
        except LedgerFault as fault:
            self.tell(fault.sentence)

    def back(self) -> None:
        """Back to the bench."""
        if self.is_current:
            self.dismiss()


def _row(run: RunFolder) -> str:
    last = run.last() or {}
    outcome = last.get("outcome") if last.get("event") == "closed" else "given up"
    return f"{run.id} · {outcome} · {day_and_time(last.get('at'))}"


def _text(run: RunFolder) -> str:
    """The record as it is written; made anew from its frozen files where it is not there."""
    from clampbook.record.record import build
    from clampbook.record.written import write

    try:
        return write(run.path).read_text(encoding="utf-8")
    except OSError:
        return build(run.procedure(), run.plan(), run.daybook.read_bytes()).decode()
