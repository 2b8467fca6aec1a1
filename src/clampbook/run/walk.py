"""The one loop of a run: an answer is decided, written and synced, then folded. Only here does a run touch the disk."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING

from clampbook.ledger import reading
from clampbook.ledger.formats import unlike
from clampbook.ledger.ledger import Ledger
from clampbook.ledger.refusals import LedgerFault, shown
from clampbook.ledger.stamp import Clock, Stamp, stamp_of
from clampbook.people import Person
from clampbook.run import answers as a
from clampbook.run import events as e
from clampbook.run.answers import Accepted, Refused, Unsure
from clampbook.run.fold.apply import apply, begin, fold
from clampbook.run.independence import vouched_before
from clampbook.run.last_run import LastRun
from clampbook.run.plan import Plan
from clampbook.run.progress import Progress
from clampbook.run.prompting import prompt
from clampbook.run.prompts import Prompt
from clampbook.run.session import Session, moment
from clampbook.tools.model import Stock

if TYPE_CHECKING:
    from clampbook.run.doubting import Suspect
    from clampbook.run.withdrawal import Withdrawal

ABSURD = timedelta(days=400)  # a gap longer than this says more about the clock than about the work
NO_KEYS: Mapping[str, str] = MappingProxyType({})
# What the fold of lines raises that no run of their plan can have brought about.
MISFIT = (KeyError, IndexError, ValueError, ArithmeticError, AssertionError)


def read_events(path: Path, lines: Sequence[bytes]) -> list[e.Event]:
    """All lines as events, each checked to continue the one before. Raises LedgerFault naming the first that fails."""
    kept = f"; clampbook close-damaged {path.parent.name} keeps what is sound of it and closes the run"
    return reading.read_events(path, lines, e.read, kept)


def check_format(path: Path, events: Sequence[e.Event]) -> None:
    """A daybook begins with `opened` in a format that can be added to. Raises LedgerFault."""
    first = events[0] if events else None
    if not isinstance(first, e.Opened):
        raise LedgerFault(f"{shown(path)} does not begin with the opening of a run")
    if (told := unlike(shown(path), first.daybook)) is not None:
        raise LedgerFault(told)


def known_steps(path: Path, plan: Plan, events: Sequence[e.Event]) -> None:
    """Every step that a line names is one of the plan's. Raises LedgerFault naming the first line that is not."""
    for event in events:
        for name in (getattr(event, "step", None), getattr(event, "first", None), getattr(event, "last", None)):
            if isinstance(name, str) and name not in plan.index_of:
                raise LedgerFault(f"{shown(path)}, line {event.seq}: step {name!r} is none of this run's plan")


def read_progress(path: Path, plan: Plan, lines: Sequence[bytes]) -> Progress:
    """The state of a run after its lines. Raises LedgerFault where they are not whole or not of this plan."""
    events = read_events(path, lines)
    check_format(path, events)
    try:
        return fold(plan, events)
    except MISFIT as error:
        known_steps(path, plan, events)
        told = "what it tells cannot have come at this place of the plan; was it written by another program?"
        raise LedgerFault(f"{shown(path)}, line {_first_misfit(plan, events)}: {told}") from error


def _first_misfit(plan: Plan, events: Sequence[e.Event]) -> int:
    """The line at which the fold of all lines comes to grief."""
    progress = begin(plan)
    for event in events:
        try:
            progress = apply(plan, progress, event)
        except MISFIT:
            return event.seq
    return len(events)


News = Callable[[], "Sequence[Suspect]"]
Heard = e.ToolDoubted | e.ToolPassed | e.Resumed | e.ProcedureWithdrawn
Withdrawn = Callable[[], "Withdrawal | None"]
Told = Callable[[e.ToolDropped | e.ToolDoubted | e.ToolTaken], None]
HandedOn = Callable[[Person], None]
# Lines that say nothing of a value that is in doubt: the number is wanted all the same, with its unit.
_BESIDE_A_DOUBT = (e.MapTurned, e.Noted, e.ArrivedUnasked, e.ToolPassed, e.ProcedureWithdrawn)


def _no_news() -> Sequence[Suspect]:
    return ()


def _not_withdrawn() -> Withdrawal | None:
    return None


def _tell_nobody(_: e.ToolDropped | e.ToolDoubted | e.ToolTaken | Person) -> None:
    pass


class Walk:
    """A run that is being walked. `prompt` is what is asked now; `answer` writes what comes of an answer."""

    def __init__(self, ledger: Ledger, session: Session, clock: Clock, person: Person, hands: Person | None) -> None:
        self._ledger = ledger
        self._clock = clock
        self._person = person
        self._hands = hands
        self._news: News = _no_news
        self._withdrawn: Withdrawn = _not_withdrawn
        self._tell: Told = _tell_nobody
        self._handed_on: HandedOn = _tell_nobody
        self._heard: tuple[Heard, ...] = ()
        self.session = session
        self.prompt: Prompt = prompt(session)

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
        session = Session(plan, progress, (), people, clock.now(), None, exempt, tools_known=False, keys=keys)
        if stock is not None:
            session = _stocked(session, stock, unread)
        walk = cls(ledger, session, clock, person, hands)
        if not fresh and progress.ended is None:
            stored = walk._store(walk._resumed())
            assert isinstance(stored, e.Resumed)
            walk._heard = (stored,) if stored.looked else ()
        return walk

    @property
    def plan(self) -> Plan:
        """The frozen plan."""
        return self.session.plan

    def stamp(self) -> Stamp:
        """When and by whom, now."""
        now = self._clock.now()
        done_by = self._hands.id if self._hands is not None else None
        return stamp_of(now, self._person.id, done_by)

    def answer(self, answer: a.Answer) -> Accepted | Unsure | Refused:
        """Decide, write, fold. An Accepted holds the event as it stands in the daybook, with its number.

        Raises LedgerFault where the line could not be written; then nothing has changed and it can be tried again.
        """
        from clampbook.run.decide import decide  # not needed until somebody answers

        outcome = decide(self.session, answer, self.stamp())
        match outcome:
            case Accepted(event=event):
                stored = self._store(event)
                if isinstance(stored, e.HandedOver):
                    self._person, self._hands = stored.to, stored.hands
                    self._handed_on(stored.to)
                match stored:
                    case e.ToolDropped() | e.ToolDoubted() | e.ToolTaken(same=True | False):
                        self._tell(stored)
                return Accepted(stored)
            case Unsure(code=code, step=step):
                self.session = _with(self.session, doubt=(code, step))
                return outcome
            case Refused():
                return outcome

    def painted(self) -> None:
        """The present prompt has just been shown: least pull times count from here, and limits are looked at again."""
        self.session = _with(self.session, painted=self._clock.now(), doubt=self.session.doubt)
        self.prompt = prompt(self.session)

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
        """What the book has found of this run's tools since this was last asked: in question, or good again; that its
        procedure was withdrawn; and that somebody goes on who vouched as another person. To be told, each once, before
        a prompt is shown.

        Raises LedgerFault where a line could not be written.
        """
        self._look()
        heard, self._heard = self._heard, ()
        return heard

    def _look(self) -> None:
        if self.session.progress.ended is None and not self.session.progress.withdrawn:
            withdrawal = self._withdrawn()
            if withdrawal is not None:
                self._hear(withdrawal.told(self.stamp()))
        suspects = self._news()
        if not suspects or self.session.progress.ended is not None:
            return
        from clampbook.run.doubting import doubted, good_again, passed, suspected

        events = read_events(self._ledger.path, self._ledger.lines)
        for suspect, since in suspected(events, self.session.progress, suspects):
            self._hear(doubted(suspect, since, self.stamp()))
        for tool, at in good_again(self.session.progress, suspects).items():
            self._hear(passed(tool, at, self.session.use(tool).last_check, self.stamp()))

    def _hear(self, event: Heard) -> None:
        stored = self._store(event)
        assert isinstance(stored, Heard)
        self._heard += (stored,)

    def use(self, stock: Stock, unread: str | None = None) -> None:
        """The tools as the book has them now; `unread` says why they cannot be read."""
        self.session = _stocked(self.session, stock, unread)
        self.prompt = prompt(self.session)

    def remember(self, last_run: LastRun) -> None:
        """What the run before offers for choosing."""
        self.session = replace(self.session, last_run=last_run)
        self.prompt = prompt(self.session)

    def know(self, people: tuple[Person, ...], keys: Mapping[str, str] | None = None) -> None:
        """The people as the book has them now, and the keys they sign with; without `keys`, those known before."""
        self.session = replace(self.session, people=people, keys=self.session.keys if keys is None else keys)
        self.prompt = prompt(self.session)

    def _store(self, event: e.Event) -> e.Event:
        line = self._ledger.append(e.fields(event))
        stored = e.read(line)
        progress = apply(self.session.plan, self.session.progress, stored)
        doubt = self.session.doubt if isinstance(stored, _BESIDE_A_DOUBT) else None
        self.session = replace(self.session, progress=progress, painted=self._clock.now(), doubt=doubt)
        self.prompt = prompt(self.session)
        if doubt is not None and getattr(getattr(self.prompt, "where", None), "id", None) != doubt[1]:
            self.session = replace(self.session, doubt=None)  # something else is asked first
        return stored

    def _resumed(self) -> e.Resumed:
        """The line that a new start of the program writes first."""
        stamp = self.stamp()
        gap = stamp.at - moment(self.session.progress.at)
        plausible = timedelta(0) <= gap <= ABSURD
        before = self.session.progress
        changed = self._person.id != before.by or (self._hands.id if self._hands else None) != before.hands
        return e.Resumed(
            at=stamp.text,
            offset=stamp.offset,
            by=stamp.by,
            done_by=stamp.done_by,
            gap=f"{gap.total_seconds():.0f}" if plausible else None,
            clock="plausible" if plausible else "doubtful",
            bytes_set_aside=self._ledger.set_aside,
            person=self._person if changed else None,
            hands=self._hands if changed else None,
            looked=vouched_before(before.shares, (self._person, self._hands)),
        )


def _with(session: Session, *, painted: datetime | None = None, doubt: tuple[str, str] | None = None) -> Session:
    """The same moment with another time of painting or another open doubt."""
    return replace(session, painted=painted if painted is not None else session.painted, doubt=doubt)


def _stocked(session: Session, stock: Stock, unread: str | None) -> Session:
    tools, adapters = stock.tools, stock.adapters
    return replace(session, tools=tools, adapters=adapters, uses=stock.uses, unread=unread, tools_known=True)


def empty(plan: Plan) -> Session:
    """A session of a plan before its first line, for looking at what would be asked."""
    return Session(plan, begin(plan))
