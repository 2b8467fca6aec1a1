"""A run that is being walked: what it says of itself to the loop of all work, and what it hears of its book."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from functools import partial
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING

from clampbook.ledger.ledger import Ledger
from clampbook.ledger.refusals import LedgerFault, shown
from clampbook.ledger.stamp import Clock, Stamp, stamp_of, there_at
from clampbook.people import NOT_NAMED, Person
from clampbook.run import answers as a
from clampbook.run import events as e
from clampbook.run.answers import Accepted, Refused, Unsure
from clampbook.run.fold.apply import apply, begin, fold
from clampbook.run.fold.independence import vouched_before
from clampbook.run.last_run import LastRun
from clampbook.run.next_prompt import prompt
from clampbook.run.plan import Plan
from clampbook.run.progress import Progress
from clampbook.run.prompts import Prompt
from clampbook.run.session import Session, moment
from clampbook.tools.model import Stock
from clampbook.work.daybook import MISFIT, OUT_OF_PLACE, lines_of, misfit
from clampbook.work.loop import Loop, Work, gap

if TYPE_CHECKING:
    from clampbook.run.acts.withdrawal import Withdrawal
    from clampbook.run.in_hand.suspects import Suspect

NO_KEYS: Mapping[str, str] = MappingProxyType({})


def read_events(path: Path, lines: Sequence[bytes]) -> list[e.Event]:
    """All lines as events, each checked to continue the one before. Raises LedgerFault naming the first that fails."""
    return lines_of(path, lines, e.read, "run", e.Opened)


def known_steps(path: Path, plan: Plan, events: Sequence[e.Event]) -> None:
    """Every step that a line names is one of the plan's. Raises LedgerFault naming the first line that is not."""
    for event in events:
        for name in (getattr(event, "step", None), getattr(event, "first", None), getattr(event, "last", None)):
            if isinstance(name, str) and name not in plan.index_of:
                raise LedgerFault(f"{shown(path)}, line {event.seq}: step {name!r} is none of this run's plan")


def read_progress(path: Path, plan: Plan, lines: Sequence[bytes]) -> Progress:
    """The state of a run after its lines. Raises LedgerFault where they are not whole or not of this plan."""
    events = read_events(path, lines)
    try:
        return fold(plan, events)
    except MISFIT as error:
        known_steps(path, plan, events)
        line = misfit(partial(apply, plan), begin(plan), events)
        told = f"{OUT_OF_PLACE}; was it written by another program?"
        raise LedgerFault(f"{shown(path)}, line {line}: {told}") from error


News = Callable[[], "Sequence[Suspect]"]
Heard = e.ToolSuspected | e.ToolPassed | e.Resumed | e.ProcedureWithdrawn
Withdrawn = Callable[[], "Withdrawal | None"]
Told = Callable[[e.ToolDropped | e.ToolSuspected | e.ToolTaken], None]
HandedOn = Callable[[Person], None]
# Lines that say nothing of a value that is unusual: the number is wanted all the same, with its unit.
_BESIDE_AN_UNUSUAL_VALUE = (e.MapTurned, e.Noted, e.ArrivedUnasked, e.ToolPassed, e.ProcedureWithdrawn)


def _no_news() -> Sequence[Suspect]:
    return ()


def _not_withdrawn() -> Withdrawal | None:
    return None


def _tell_nobody(_: e.ToolDropped | e.ToolSuspected | e.ToolTaken | Person) -> None:
    pass


class Walk:
    """A run that is being walked. `prompt` is what is asked now; `answer` writes what comes of an answer."""

    def __init__(self, ledger: Ledger, session: Session, clock: Clock, person: Person, hands: Person | None) -> None:
        self._ledger = ledger
        self._clock = clock
        self._loop: Loop[Session, Prompt, a.Answer, e.Event] = Loop(
            Work(prompt, self._decided, self._folded, _unusual, e.fields, e.read), ledger, session
        )
        self._person = person
        self._hands = hands
        self._news: News = _no_news
        self._withdrawn: Withdrawn = _not_withdrawn
        self._tell: Told = _tell_nobody
        self._handed_on: HandedOn = _tell_nobody
        self._heard: tuple[Heard, ...] = ()

    @classmethod
    def take_up(
        cls,
        plan: Plan,
        ledger: Ledger,
        *,
        clock: Clock,
        person: Person,
        hands: Person | None = None,
        stock: Stock | None = None,
        unread: str | None = None,
        people: tuple[Person, ...] = (),
        keys: Mapping[str, str] = NO_KEYS,
        exempt: bool = False,
        fresh: bool = False,
    ) -> Walk:
        """Go on with the run of an open daybook; unless it was opened just now (`fresh`), `resumed` is written first.

        `stock` is None where the tools are handed on later; `unread` says why they cannot be read.
        Raises LedgerFault where its lines are not whole, do not fit the plan, or nothing can be added.
        """
        progress = read_progress(ledger.path, plan, ledger.lines)
        shown = moment(progress.at) if plan.late else clock.now()
        session = Session(plan, progress, (), people, shown, None, exempt, tools_known=False, keys=keys)
        if stock is not None:
            session = _stocked(session, stock, unread)
        if plan.late:
            session = replace(session, there=there_at(clock))
        if plan.late and hands is None:  # whoever stood on the form last
            hands = next((one for one in people if one.id == progress.hands), NOT_NAMED)
        walk = cls(ledger, session, clock, person, hands)
        if not fresh and progress.ended is None:
            stored = walk._loop.store(walk._resumed())
            assert isinstance(stored, e.Resumed)
            walk._heard = (stored,) if stored.looked else ()
        return walk

    @property
    def session(self) -> Session:
        """The moment that the run has come to; while a form is typed in, with that of typing."""
        at = self._loop.at
        return replace(at, now=self._clock.now()) if at.plan.late else at

    @property
    def prompt(self) -> Prompt:
        """The question that is asked now."""
        return self._loop.prompt

    @property
    def plan(self) -> Plan:
        """The frozen plan."""
        return self.session.plan

    def stamp(self) -> Stamp:
        """Give time and people of this moment; while a form is typed in, its last time and that of typing."""
        now = self._clock.now()
        done_by = self._hands.id if self._hands is not None else None
        if self.plan.late:
            progress = self.session.progress
            return Stamp(moment(progress.at), progress.offset, self._person.id, done_by, self._ledger.head, now)
        return stamp_of(now, self._person.id, done_by, self._ledger.head)

    def answer(self, answer: a.Answer) -> Accepted | Unsure | Refused:
        """Decide, write, fold. An Accepted holds the event as it stands in the daybook, with its number.

        Raises LedgerFault where the line could not be written; then nothing has changed and it can be tried again.
        """
        stored = self._loop.answer(answer, self.stamp())
        if isinstance(stored, Unsure | Refused):
            return stored
        if isinstance(stored, e.HandedOver):
            self._person, self._hands = stored.to, stored.done_by_person
            self._handed_on(stored.to)
        if isinstance(stored, e.PaperTime) and stored.done_by_person is not None:
            self._hands = stored.done_by_person
        if isinstance(stored, e.TakenBack):
            self._hands = self._who(self.session.progress.hands)
        match stored:
            case e.ToolDropped() | e.ToolSuspected() | e.ToolTaken(same=True | False):
                self._tell(stored)
        return Accepted(stored)

    def _who(self, hands: str | None) -> Person | None:
        """The person whose initials a line of this run has, by their id."""
        events = (e.read(line) for line in reversed(self._ledger.lines) if hands is not None)
        named = (getattr(event, "done_by_person", None) for event in events)
        return next((person for person in named if person is not None and person.id == hands), None)

    def scanned(self, name: str, kind: e.ScanKind, size: int, sha256: str) -> e.ScanAdded:
        """Write that a scan of the paper form lies in the run's folder. Raises LedgerFault as `answer` does."""
        now = self.stamp()
        told = e.ScanAdded(
            at=now.text,
            offset=now.offset,
            by=now.by,
            done_by=now.other_hands,
            typed_at=now.typed_text,
            name=name,
            kind=kind,
            size=size,
            sha256=sha256,
        )
        stored = self._loop.store(told)
        assert isinstance(stored, e.ScanAdded)
        return stored

    def painted(self) -> None:
        """The present prompt has just been shown: least pull times count from here, and limits are looked at again."""
        self._loop.look_at(replace(self.session, painted=self._shown(self.session.progress)))

    def listen(
        self,
        news: News,
        tell: Told = _tell_nobody,
        handed_on: HandedOn = _tell_nobody,
        withdrawn: Withdrawn = _not_withdrawn,
    ) -> None:
        """From now on `news` is asked what the book has found of tools, and `withdrawn` whether the procedure was
        withdrawn; what they say now is written down at once.
        `tell` is handed each line of a person about trouble with a tool, once it is stored, and `handed_on` whoever
        takes the run over."""
        self._news, self._tell, self._handed_on, self._withdrawn = news, tell, handed_on, withdrawn
        self._look()

    def hear(self) -> tuple[Heard, ...]:
        """Give what the book has found of this run's tools since this was last asked: in question, or
        good again; that its procedure was withdrawn; and that somebody goes on who vouched as another
        person. To be told, each once, before a prompt is shown.

        Raises LedgerFault where a line could not be written.
        """
        self._look()
        heard, self._heard = self._heard, ()
        return heard

    def _look(self) -> None:
        if self.plan.late:  # what became known since says nothing of the day on the form
            return
        if self.session.progress.ended is None and not self.session.progress.withdrawn:
            withdrawal = self._withdrawn()
            if withdrawal is not None:
                self._hear(withdrawal.told(self.stamp()))
        suspects = self._news()
        if not suspects or self.session.progress.ended is not None:
            return
        from clampbook.run.in_hand.suspects import flagged, good_again, passed, suspected

        events = read_events(self._ledger.path, self._ledger.lines)
        for suspect, since in suspected(events, self.session.progress, suspects):
            self._hear(flagged(suspect, since, self.stamp()))
        for tool, at in good_again(self.session.progress, suspects).items():
            self._hear(passed(tool, at, self.session.use(tool).last_check, self.stamp()))

    def _hear(self, event: Heard) -> None:
        stored = self._loop.store(event)
        assert isinstance(stored, Heard)
        self._heard += (stored,)

    def use(self, stock: Stock, unread: str | None = None) -> None:
        """The tools as the book has them now; `unread` says why they cannot be read."""
        self._loop.look_at(_stocked(self.session, stock, unread))

    def remember(self, last_run: LastRun) -> None:
        """Take what the run before offers for choosing."""
        self._loop.look_at(replace(self.session, last_run=last_run))

    def know(self, people: tuple[Person, ...], keys: Mapping[str, str] | None = None) -> None:
        """The people as the book has them now, and the keys they sign with; without `keys`, those known before."""
        self._loop.look_at(replace(self.session, people=people, keys=self.session.keys if keys is None else keys))

    def _decided(self, session: Session, answer: a.Answer, stamp: Stamp) -> Accepted | Unsure | Refused:
        from clampbook.run.decide import decide  # not needed until somebody answers

        return decide(session, answer, stamp, self.prompt)

    def _folded(self, session: Session, stored: e.Event) -> Session:
        """The moment after a line; an unusual value stays open where the same value is still wanted."""
        progress = apply(session.plan, session.progress, stored)
        unusual = session.unusual if isinstance(stored, _BESIDE_AN_UNUSUAL_VALUE) else None
        after = replace(session, progress=progress, painted=self._shown(progress), unusual=unusual)
        if unusual is not None and getattr(getattr(prompt(after), "where", None), "id", None) != unusual[1]:
            return replace(after, unusual=None)  # something else is asked first
        return after

    @property
    def _last_typed(self) -> str | None:
        """The time of typing the last line, where that has the time of a form."""
        return e.read(self._ledger.lines[-1]).typed_at if self.plan.late else None

    def _shown(self, progress: Progress) -> datetime:
        """The moment at which a question is shown: to the work on a form, its last time."""
        return moment(progress.at) if self.plan.late else self._clock.now()

    def _resumed(self) -> e.Resumed:
        """The line that a new start of the program writes first."""
        stamp = self.stamp()
        before = self.session.progress
        passed = gap(moment(self._last_typed or before.at), stamp.typed or stamp.at)
        changed = self._person.id != before.by or (self._hands.id if self._hands else None) != before.hands
        return e.Resumed(
            at=stamp.text,
            offset=stamp.offset,
            by=stamp.by,
            done_by=stamp.done_by,
            typed_at=stamp.typed_text,
            gap=passed,
            clock="plausible" if passed is not None else "implausible",
            torn_bytes=self._ledger.torn,
            person=self._person if changed else None,
            done_by_person=self._hands if changed else None,
            looked=vouched_before(before.shares, (self._person, self._hands)),
        )


def _unusual(session: Session, unusual: Unsure) -> Session:
    return replace(session, unusual=(unusual.code, unusual.step))


def _stocked(session: Session, stock: Stock, unread: str | None) -> Session:
    tools, adapters = stock.tools, stock.adapters
    return replace(session, tools=tools, adapters=adapters, uses=stock.uses, unread=unread, tools_known=True)


def empty(plan: Plan) -> Session:
    """A session of a plan before its first line, for looking at what would be asked."""
    return Session(plan, begin(plan))
