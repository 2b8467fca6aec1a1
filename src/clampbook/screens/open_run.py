"""A run in hand, with the tools and the last run of its book."""

from __future__ import annotations

from pathlib import Path

from clampbook.book.book import Book
from clampbook.book.scans import Scan
from clampbook.book.starting.walking import conclude, tools_of, walking
from clampbook.ledger.event import PauseCause
from clampbook.ledger.refusals import LedgerFault
from clampbook.ledger.stamp import Clock
from clampbook.people import Person
from clampbook.run import asked
from clampbook.run.answers import Pause
from clampbook.run.events import Asked, Corrected, Event
from clampbook.run.walk import Walk
from clampbook.run_folder import RunFolder
from clampbook.screens.gathering import Gathering
from clampbook.screens.in_hand import InHand
from clampbook.tools.model import Stock


class Taken(InHand):
    """A run that is walked on the screen. Raises LockHeld or LedgerFault where it cannot be taken up.

    `tools` are those of the book, with what is wrong with their file, where they have been read a moment ago;
    `read_first` is what should be read before the first question.
    """

    def __init__(
        self,
        book: Book,
        run: RunFolder,
        clock: Clock,
        person: Person,
        done_by: Person | None,
        *,
        fresh: bool,
        tools: tuple[Stock, str | None] | None = None,
        read_first: tuple[str, ...] = (),
        scans: tuple[Scan, ...] = (),
    ) -> None:
        super().__init__(book, run, clock)
        self.walk: Walk = self._stack.enter_context(
            walking(book, run, clock=clock, person=person, done_by=done_by, fresh=fresh, tools_later=True, scans=scans)
        )
        self.gathering: Gathering = Gathering(self.walk, self._named, self._beside)
        self.read_first = read_first
        self._tools = tools
        self.tools_known = False
        if tools is not None or not asked.on_the_sheet(self.walk.prompt):
            self.know_tools()

    def know_tools(self) -> None:
        """Read the tools of the book, and what was answered last time; the start sheet can be shown before that."""
        if not self.tools_known:
            from clampbook.book.starting.last_time import remind  # the first question does without

            self.walk.use(*(self._tools or tools_of(self.book, self.run, self.walk.plan)))
            remind(self.walk, self.book, self.run)
            self.tools_known = True

    def heard(self) -> str:
        """Tell what a check has found of this run's tools since this was last asked; "" where it found nothing."""
        try:
            heard = self.walk.hear()
        except LedgerFault as fault:
            return fault.sentence
        if not heard:
            return ""
        from clampbook.run.lines import stored

        return " ".join(stored(each, self.walk.plan, self.walk.session.tools) for each in heard)

    def ended(self) -> str | None:
        """Tell how the run ended, if it did."""
        return asked.outcome(self.walk.prompt)

    def pause(self, cause: PauseCause) -> None:
        """The run goes on another day."""
        self.walk.answer(Pause(cause))

    def conclude(self) -> Path | None:
        """A run that is over gets its record."""
        return conclude(self.book, self.run)

    def _beside(self, event: Event) -> tuple[str, ...]:
        """Other open runs on the same thing, once the start sheet knows what it is."""
        if not isinstance(event, Asked | Corrected):
            return ()
        from clampbook.book.starting.alongside import once_known

        return once_known(self.book, self.run, self.walk.plan, event)

    def _named(self, typed: str) -> Person:
        person = self.book.person_named(typed)
        from clampbook.book.keys import announced

        self.walk.know(self.book.people(), announced(self.book))
        return person
