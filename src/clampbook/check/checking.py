"""The one loop of a check: decide, write and sync, fold. Only here does a check touch the disk."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta
from pathlib import Path

from clampbook.check import answers as a
from clampbook.check import events as e
from clampbook.check.answers import Accepted, Outcome, Unsure
from clampbook.check.deciding import Session, decide
from clampbook.check.plan import CheckPlan
from clampbook.check.progress import Progress, apply, fold
from clampbook.check.prompts import Prompt, complete, judged, prompt
from clampbook.ledger.event import fields
from clampbook.ledger.formats import unlike
from clampbook.ledger.ledger import Ledger
from clampbook.ledger.reading import read_events
from clampbook.ledger.refusals import LedgerFault, shown
from clampbook.ledger.stamp import Clock, Stamp, stamp_of
from clampbook.people import Person

ABSURD = timedelta(days=400)  # a gap longer than this says more about the clock than about the work


def read_progress(path: Path, plan: CheckPlan, lines: Sequence[bytes]) -> Progress:
    """The state of a check after its lines. Raises LedgerFault where they are not whole or not of this plan."""
    kept = f"; clampbook close-damaged {path.parent.name} keeps what is sound of it and ends the check"
    events = read_events(path, lines, e.read, kept)
    first = events[0] if events else None
    if not isinstance(first, e.Opened):
        raise LedgerFault(f"{shown(path)} does not begin with the opening of a check")
    if (told := unlike(shown(path), first.daybook)) is not None:
        raise LedgerFault(told)
    try:
        return fold(plan, events)
    except (LookupError, ValueError, ArithmeticError) as error:
        raise LedgerFault(f"{shown(path)} tells of something that its plan does not know: was it changed?") from error


def failed(plan: CheckPlan, progress: Progress) -> bool:
    """Whether the tool was found off before anybody touched it: all was pulled as found (or the check has ended), and
    a reading lies outside beyond doubt."""
    whole = complete(plan, progress, "as found") or progress.settled or progress.ended is not None
    return whole and plan.phase == "as found" and judged(plan, progress, "as found").verdict == "outside"


class Checking:
    """A check that is being done. `prompt` is what is asked now; `answer` writes what comes of an answer."""

    def __init__(self, ledger: Ledger, session: Session, clock: Clock, person: Person) -> None:
        self._ledger = ledger
        self._clock = clock
        self._person = person
        self.session = session
        self.prompt: Prompt = prompt(session.plan, session.progress)

    @classmethod
    def take_up(cls, plan: CheckPlan, ledger: Ledger, *, clock: Clock, person: Person, fresh: bool = False) -> Checking:
        """Go on with the check of an open daybook; unless it was opened just now, `resumed` is written first.

        Raises LedgerFault where its lines are not whole, do not fit the plan, or nothing can be added.
        """
        progress = read_progress(ledger.path, plan, ledger.lines)
        checking = cls(ledger, Session(plan, progress), clock, person)
        if not fresh and progress.ended is None:
            checking._store(checking._resumed())
        return checking

    @property
    def plan(self) -> CheckPlan:
        """The frozen plan."""
        return self.session.plan

    @property
    def progress(self) -> Progress:
        """How far the check has come."""
        return self.session.progress

    def stamp(self) -> Stamp:
        """When and by whom, now."""
        now = self._clock.now()
        return stamp_of(now, self._person.id)

    def answer(self, answer: a.Answer) -> Outcome:
        """Decide, write, fold. An Accepted holds the event as it stands in the daybook, with its number.

        Raises LedgerFault where the line could not be written; then nothing has changed and it can be tried again.
        """
        outcome = decide(self.session, answer, self.stamp())
        match outcome:
            case Accepted(event=event):
                return Accepted(self._store(event))
            case Unsure():
                self.session = Session(self.plan, self.progress, doubted=True)
        return outcome

    def _store(self, event: e.Event) -> e.Event:
        stored = e.read(self._ledger.append(fields(event)))
        self.session = Session(self.plan, apply(self.plan, self.progress, stored))
        self.prompt = prompt(self.plan, self.progress)
        return stored

    def _resumed(self) -> e.Resumed:
        stamp = self.stamp()
        gap = stamp.at - datetime.fromisoformat(self.progress.at)
        return e.Resumed(
            at=stamp.text,
            offset=stamp.offset,
            by=stamp.by,
            gap=f"{gap.total_seconds():.0f}" if timedelta(0) <= gap <= ABSURD else None,
            bytes_set_aside=self._ledger.set_aside,
            person=self._person if self._person.id != self.progress.by else None,
        )
