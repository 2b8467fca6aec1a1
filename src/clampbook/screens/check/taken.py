"""A check in hand; the book hears at once what it finds."""

from __future__ import annotations

from pathlib import Path

from clampbook.book.book import Book
from clampbook.book.checks import tell_book
from clampbook.book.starting.checking import checking, conclude
from clampbook.check.answers import Pause
from clampbook.check.checking import Checking
from clampbook.check.folder import CheckFolder
from clampbook.check.prompts import Ended
from clampbook.check.wording import FAILED, marked
from clampbook.ledger.event import PauseCause
from clampbook.ledger.stamp import Clock
from clampbook.people import Person
from clampbook.screens.check.gathering import CheckGathering
from clampbook.screens.in_hand import InHand
from clampbook.text import started


class CheckTaken(InHand):
    """A check that is done on the screen. Raises LockHeld or LedgerFault where it cannot be opened.

    `run` is its folder, which has the shape of a run's.
    """

    run: CheckFolder

    def __init__(self, book: Book, check: CheckFolder, clock: Clock, person: Person, *, fresh: bool) -> None:
        super().__init__(book, check, clock)
        self.person = person
        self.checking: Checking = self._stack.enter_context(
            checking(book, check, clock=clock, person=person, fresh=fresh)
        )
        self.gathering: CheckGathering = CheckGathering(self.checking, self._tell_book)
        self._tell_book()

    def ended(self) -> str | None:
        """Tell how the check ended, if it did."""
        prompt = self.checking.prompt
        return prompt.outcome if isinstance(prompt, Ended) else None

    def pause(self, cause: PauseCause) -> None:
        """The check goes on another day."""
        self.checking.answer(Pause(cause))

    def conclude(self) -> Path | None:
        """The book hears what was found, and a check that is over gets its record."""
        return conclude(self.book, self.run)

    def _tell_book(self) -> str:
        """The book hears at once of a tool that was found off."""
        checking = self.checking
        if tell_book(self.book, self.run, checking.plan, checking.progress):
            return f"{started(marked(FAILED))}: {checking.plan.tool.name}, now out of service."
        return ""
