"""A check in hand: nobody else writes to it until it is left, and leaving it is a safe pause."""

from __future__ import annotations

import contextlib
from pathlib import Path

from clampbook.book.book import Book
from clampbook.book.checks import tell_book
from clampbook.check.answers import Pause
from clampbook.check.checking import Checking
from clampbook.check.folder import CheckFolder
from clampbook.check.prompts import Ended
from clampbook.ledger.refusals import LedgerFault
from clampbook.ledger.stamp import Clock
from clampbook.people import Person
from clampbook.screens.check.gathering import CheckGathering
from clampbook.verifying import checking, conclude


class CheckTaken:
    """A check that is done on the screen. Raises LockHeld or LedgerFault where it cannot be taken up.

    `run` is its folder, which has the shape of a run's.
    """

    def __init__(self, book: Book, check: CheckFolder, clock: Clock, person: Person, *, fresh: bool) -> None:
        self.book = book
        self.run = check
        self.clock = clock
        self.person = person
        self.outcome = "paused"
        self._stack = contextlib.ExitStack()
        self.checking: Checking = self._stack.enter_context(
            checking(book, check, clock=clock, person=person, fresh=fresh)
        )
        self.gathering = CheckGathering(self.checking, self._tell_book)
        self._left = False
        self._tell_book()

    def leave(self) -> Path | None:
        """Store a pause where the check goes on another day, let others write, and record a check that is over.

        Gives the record's path where there is one. Does nothing the second time.
        """
        if self._left:
            return None
        self._left = True
        try:
            if not isinstance(self.checking.prompt, Ended):
                self.checking.answer(Pause())
        finally:
            self._stack.close()
        ended = self.checking.prompt
        self.outcome = ended.outcome if isinstance(ended, Ended) else "paused"
        return conclude(self.book, self.run)

    def leave_quietly(self) -> None:
        """Leave, where something went wrong already that will be told."""
        with contextlib.suppress(LedgerFault, OSError):
            self.leave()

    def _tell_book(self) -> str:
        """The book hears at once of a tool that was found off."""
        checking = self.checking
        if tell_book(self.book, self.run, checking.plan, checking.progress):
            return f"{checking.plan.tool.name} was found outside and is withdrawn from now on."
        return ""
