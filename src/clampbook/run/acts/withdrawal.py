"""That the procedure of an open run was withdrawn, as the book heard of it, and how the run says so."""

from __future__ import annotations

from msgspec import Struct

from clampbook.ledger.stamp import Stamp
from clampbook.people import Person
from clampbook.run.events import ProcedureWithdrawn


class Withdrawal(Struct, frozen=True):
    """The withdrawal of a revision: which one, by whom, when (UTC), and why."""

    revision: str
    person: Person
    at: str
    because: str

    def told(self, stamp: Stamp) -> ProcedureWithdrawn:
        """The line of the run's daybook."""
        return ProcedureWithdrawn(
            at=stamp.text,
            offset=stamp.offset,
            by=stamp.by,
            done_by=stamp.other_hands,
            revision=self.revision,
            person=self.person,
            withdrawn=self.at,
            because=self.because,
        )
