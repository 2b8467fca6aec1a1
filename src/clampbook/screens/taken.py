"""A run in hand: nobody else writes to it until it is left, and leaving it is a safe pause."""

from __future__ import annotations

import contextlib
from pathlib import Path

from clampbook.book.book import Book
from clampbook.ledger.refusals import LedgerFault
from clampbook.ledger.stamp import Clock
from clampbook.people import Person
from clampbook.run.answers import Pause
from clampbook.run.events import Asked, Corrected, Event
from clampbook.run.prompts import Ended, StartSheet
from clampbook.run.walk import Walk
from clampbook.run_folder import RunFolder
from clampbook.screens.gathering import Gathering
from clampbook.starting import conclude, walking


class Taken:
    """A run that is walked on the screen. Raises LockHeld or LedgerFault where it cannot be taken up."""

    def __init__(
        self, book: Book, run: RunFolder, clock: Clock, person: Person, hands: Person | None, *, fresh: bool
    ) -> None:
        self.book = book
        self.run = run
        self.clock = clock
        self.outcome = "paused"
        self._stack = contextlib.ExitStack()
        self.walk: Walk = self._stack.enter_context(
            walking(book, run, clock=clock, person=person, hands=hands, fresh=fresh, tools_later=True)
        )
        self.gathering = Gathering(self.walk, self._named, self._beside)
        self._left = False
        self.tools_known = False
        if not isinstance(self.walk.prompt, StartSheet):
            self.know_tools()

    def know_tools(self) -> None:
        """Read the tools of the book, and what was answered last time; the start sheet can be shown before that."""
        if not self.tools_known:
            from clampbook.book.last_time import remind  # the first question does without

            self.walk.use(*self.book.stock_or_fault())
            remind(self.walk, self.book, self.run)
            self.tools_known = True

    def heard(self) -> str:
        """What a check has found of this run's tools since this was last asked; "" where it found nothing."""
        try:
            doubts = self.walk.hear()
        except LedgerFault as fault:
            return fault.sentence
        if not doubts:
            return ""
        from clampbook.run.acknowledging import stored

        return " ".join(stored(doubt, self.walk.plan, self.walk.session.tools) for doubt in doubts)

    def leave(self) -> Path | None:
        """Store a pause where the run goes on another day, let others write, and record a run that is over.

        Gives the record's path where there is one. Does nothing the second time.
        """
        if self._left:
            return None
        self._left = True
        try:
            if not isinstance(self.walk.prompt, Ended):
                self.walk.answer(Pause())
        finally:
            self._stack.close()
        ended = self.walk.prompt
        self.outcome = ended.outcome if isinstance(ended, Ended) else "paused"
        return conclude(self.book, self.run)

    def leave_quietly(self) -> None:
        """Leave, where something went wrong already that will be told."""
        with contextlib.suppress(LedgerFault, OSError):
            self.leave()

    def _beside(self, event: Event) -> tuple[str, ...]:
        """Other open runs on the same thing, once the start sheet knows what it is."""
        if not isinstance(event, Asked | Corrected):
            return ()
        from clampbook.book.alongside import once_known

        return once_known(self.book, self.run, self.walk.plan, event)

    def _named(self, typed: str) -> Person:
        person = self.book.person_named(typed)
        self.walk.know(self.book.people())
        return person
