"""The one loop of a check: what it says of itself to the loop of all work."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime
from pathlib import Path

from clampbook.check import answers as a
from clampbook.check import events as e
from clampbook.check.answers import Accepted, Outcome, Refused, Unsure
from clampbook.check.deciding import Session, decide
from clampbook.check.plan import CheckPlan
from clampbook.check.progress import Progress, apply, fold
from clampbook.check.prompts import Prompt, complete, judged, prompt
from clampbook.ledger.event import fields
from clampbook.ledger.ledger import Ledger
from clampbook.ledger.refusals import LedgerFault, shown
from clampbook.ledger.stamp import Clock, Stamp, stamp_of
from clampbook.people import Person
from clampbook.work.daybook import MISFIT, lines_of
from clampbook.work.loop import Loop, Work, gap


def read_progress(path: Path, plan: CheckPlan, lines: Sequence[bytes]) -> Progress:
    """The state of a check after its lines. Raises LedgerFault where they are not whole or not of this plan."""
    events = lines_of(path, lines, e.read, "check", e.Opened)
    try:
        return fold(plan, events)
    except MISFIT as error:
        raise LedgerFault(f"{shown(path)} tells of something that its plan does not know: was it changed?") from error


def failed(plan: CheckPlan, progress: Progress) -> bool:
    """True where the tool was found off before anybody touched it: all was pulled as found (or the check has
    ended), and a reading surely lies beyond what is permitted.
    """
    whole = complete(plan, progress, "as found") or progress.settled or progress.ended is not None
    return whole and plan.phase == "as found" and judged(plan, progress, "as found").verdict == "failed"


def _apply(session: Session, event: e.Event) -> Session:
    return Session(session.plan, apply(session.plan, session.progress, event))


_CHECK: Work[Session, Prompt, a.Answer, e.Event] = Work(
    prompt=lambda session: prompt(session.plan, session.progress),
    decide=decide,
    apply=_apply,
    unusual=lambda session, _: replace(session, unusual=True),
    fields=fields,
    read=e.read,
)


class Checking:
    """A check that is being done. `prompt` is what is asked now; `answer` writes what comes of an answer."""

    def __init__(self, ledger: Ledger, session: Session, clock: Clock, person: Person) -> None:
        self._ledger = ledger
        self._clock = clock
        self._person = person
        self._loop = Loop(_CHECK, ledger, session)

    @classmethod
    def take_up(cls, plan: CheckPlan, ledger: Ledger, *, clock: Clock, person: Person, fresh: bool = False) -> Checking:
        """Go on with the check of an open daybook; unless it was opened just now, `resumed` is written first.

        Raises LedgerFault where its lines are not whole, do not fit the plan, or nothing can be added.
        """
        progress = read_progress(ledger.path, plan, ledger.lines)
        checking = cls(ledger, Session(plan, progress), clock, person)
        if not fresh and progress.ended is None:
            checking._loop.store(checking._resumed())
        return checking

    @property
    def session(self) -> Session:
        """The moment that the check has come to."""
        return self._loop.at

    @property
    def prompt(self) -> Prompt:
        """The question that is asked now."""
        return self._loop.prompt

    @property
    def plan(self) -> CheckPlan:
        """The frozen plan."""
        return self.session.plan

    @property
    def progress(self) -> Progress:
        """The progress of the check so far."""
        return self.session.progress

    def stamp(self) -> Stamp:
        """Give time and people of this moment."""
        now = self._clock.now()
        return stamp_of(now, self._person.id)

    def answer(self, answer: a.Answer) -> Outcome:
        """Decide, write, fold. An Accepted holds the event as it stands in the daybook, with its number.

        Raises LedgerFault where the line could not be written; then nothing has changed and it can be tried again.
        """
        outcome = self._loop.answer(answer, self.stamp())
        return outcome if isinstance(outcome, Unsure | Refused) else Accepted(outcome)

    def _resumed(self) -> e.Resumed:
        stamp = self.stamp()
        return e.Resumed(
            at=stamp.text,
            offset=stamp.offset,
            by=stamp.by,
            gap=gap(datetime.fromisoformat(self.progress.at), stamp.at),
            torn_bytes=self._ledger.torn,
            person=self._person if self._person.id != self.progress.by else None,
        )
