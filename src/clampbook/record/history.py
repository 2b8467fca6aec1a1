"""All pulls of a run in the order of its daybook, and what each did to the fastener at its position.

The daybook is folded here once, by the record's own rules, so that a record is made again in the same way when the
walk has long learned new ones.
"""

from __future__ import annotations

from clampbook.procedure.model import Turn
from clampbook.record.fastener import Fastener, History, within_scope
from clampbook.record.frozen import Frozen, RecordFault
from clampbook.record.pull import BY_CONCESSION, Pull, pulled, put_right
from clampbook.record.standing import (
    AS_EXPECTED,
    CORRECTED,
    NOT_AS_EXPECTED,
    SET_ASIDE,
    UNKNOWN,
    VOID,
    settle,
)
from clampbook.run.events import (
    Applied,
    Broken,
    Confirmed,
    Corrected,
    Decided,
    Event,
    Inspected,
    Loosened,
    Measured,
    RanDown,
    ReadingTaken,
    Rechecked,
    Released,
    SetAside,
    StepState,
    Turned,
    Voided,
)
from clampbook.run.plan import Step

OUT_OF_TURN = ("pulled out of turn", "pulled again")  # causes of a void where the pull itself was no bad one

FROM_THE_BEGINNING = ("from the beginning", "new fastener")


def concession(event: Decided) -> bool:
    """Whether it was decided to leave a thing as it is, on another person's word."""
    return "concession" in event.choice


def tell(run: Frozen) -> History:
    """The history of a run; raises RecordFault where a line names a step or a line that is not there."""
    fold = _Fold(run)
    for event in run.events:
        fold.follow(event)
    settle(fold.history)
    return fold.history


class _Fold:
    """The state while the lines are followed one by one."""

    def __init__(self, run: Frozen) -> None:
        self.run = run
        self.history = History()
        self.latest: dict[int, Pull] = {}  # line of a pull: the correction that stands for it
        self.done: dict[tuple[str, str], Pull] = {}  # position and step: its pull in the present attempt
        self.blamed: dict[str, tuple[str, ...]] = {}  # a look at all of them: positions that were not as expected
        earlier = run.opened.of_run
        for position, (attempt, tightenings) in (earlier.positions if earlier else {}).items():
            self.history.fasteners[position] = Fastener(attempt, tightenings, tight=True, attempts_before=attempt)

    def follow(self, event: Event) -> None:
        """Take one line into account; lines that are no pull and change none are passed over."""
        match event:
            case Confirmed():
                self._confirmed(event)
            case ReadingTaken() | Released() | Turned() | RanDown() | Rechecked():
                self._at_step(event)
            case Measured() | Applied():
                self._at_step(event)
            case Loosened():
                self._loosened(event)
            case Voided():
                self._voided(event)
            case Corrected():
                self._corrected(event)
            case Inspected():
                self._work(event)
            case SetAside():
                self._fastener(event.position).aside = event
                self._say(event.position, event.step, event.seq, SET_ASIDE)
            case Broken():
                self._begin(event.position, event.attempt, event.seq).broken = event
                self._say(event.position, event.step, event.seq, event.how)
            case StepState():
                self._mark_lost(event)
            case Decided():
                self._decided(event)
            case _:
                pass

    def _fastener(self, position: str) -> Fastener:
        return self.history.fasteners.setdefault(position, Fastener())

    def _begin(self, position: str, attempt: int, line: int) -> Fastener:
        """The fastener, in a new attempt where the line says so."""
        found = self._fastener(position)
        if attempt > found.attempt:
            found.attempt, found.begun, found.fresh_since = attempt, False, line
            found.aside = found.broken = None
        return found

    def _say(self, position: str | None, step: str | None, line: int, word: str) -> None:
        """What a line that is no pull says of a position at a step, until a later one says otherwise."""
        if position is not None and step is not None:
            self.history.said.setdefault(position, {})[step] = (line, word)

    def _unsay(self, position: str, step: str) -> None:
        self.history.said.get(position, {}).pop(step, None)

    def _mark_lost(self, event: StepState) -> None:
        position = self.run.step(event, event.step).position
        if event.state == "mark lost" and position is not None:
            self._fastener(position).tight = True
            self._say(position, event.step, event.seq, UNKNOWN)

    def _add(self, row: Pull) -> None:
        self.history.pulls.append(row)
        self.history.at_line.setdefault(row.line, []).append(row)

    def _at_step(self, event: ReadingTaken | Released | Turned | RanDown | Rechecked | Measured | Applied) -> None:
        step = self.run.step(event, event.step)
        self._add(pulled(self.run, event, step, step.position, event.attempt))
        if step.position is None:
            return
        found = self._begin(step.position, event.attempt, event.seq)
        found.begun = True
        found.aside = None
        if isinstance(event, ReadingTaken | Released | Turned):
            self._tightened(found, step.position, step, self.history.pulls[-1])

    def _tightened(self, found: Fastener, position: str, step: Step, row: Pull) -> None:
        """The first pull since it was loose is one more tightening."""
        _spend(found)
        self.done[position, step.id] = row

    def _confirmed(self, event: Confirmed) -> None:
        """One row for each position from the first to the last step that was still to be done."""
        first, last = self.run.place(event, event.first), self.run.place(event, event.last)
        begin = self.run.plan.steps[first]
        for step in self.run.plan.steps[first : last + 1]:
            position = step.position
            if position is None or (step.stage, step.round) != (begin.stage, begin.round):
                continue
            found = self._fastener(position)
            if found.aside is not None or self._behind(position, step, found):
                continue
            row = pulled(self.run, event, step, position, found.attempt)
            self._add(row)
            found.begun = True
            self._tightened(found, position, step, row)

    def _behind(self, position: str, step: Step, found: Fastener) -> bool:
        """Whether this step was pulled before, in this attempt, and still counts."""
        row = self.done.get((position, step.id))
        return row is not None and row.attempt == found.attempt and row.standing != VOID

    def _loosened(self, event: Loosened) -> None:
        step = self.run.step(event, event.step)
        found = self._begin(event.position, event.attempt, event.seq)
        if event.work:
            self._again(found, event.seq)
        else:
            found.begun = True
        found.tight = False
        self._add(pulled(self.run, event, step, event.position, found.attempt))

    def _looked_at(self, event: Inspected) -> None:
        """A look at one position, or at all of them where those that are not as expected are named."""
        for position in self.blamed.pop(event.step, ()):
            self._unsay(position, event.step)
        alone = self.run.step(event, event.step).position
        word = AS_EXPECTED if event.as_expected else NOT_AS_EXPECTED
        if alone is not None:
            found = self._fastener(alone)
            found.begun = found.begun or event.as_expected
            self._say(alone, event.step, event.seq, word)
            return
        for position in event.positions:
            self._say(position, event.step, event.seq, word)
        self.blamed[event.step] = event.positions

    def _work(self, event: Inspected) -> None:
        """A look at a position; or, before it is taken from the beginning, at its fastener or the new one put in."""
        if event.work is None:
            self._looked_at(event)
        if event.work not in ("inspect", "new fastener") or event.position is None:
            return
        found = self._fastener(event.position)
        self._again(found, event.seq)
        if event.work == "new fastener" and event.as_expected:
            found.tightenings = 0

    @staticmethod
    def _again(found: Fastener, line: int) -> None:
        """What was done so far belongs to an earlier attempt, unless this one has only just begun."""
        if found.begun:
            found.attempt, found.begun, found.fresh_since = found.attempt + 1, False, line
        found.aside = found.broken = None

    def _voided(self, event: Voided) -> None:
        step = self.run.step(event, event.step)
        for row in self._named(event, event.of, event.step):
            self.latest.get(row.line, row).standing = VOID
        row = pulled(self.run, event, step, step.position, event.attempt)
        row.standing = VOID
        self._add(row)
        if step.position is None:
            return
        found = self._begin(step.position, event.attempt, event.seq)
        out_of_turn = event.cause in OUT_OF_TURN
        lost = isinstance(self.run.plan.stage_of(step), Turn) or out_of_turn
        self._say(step.position, event.step, event.seq, UNKNOWN if lost else VOID)
        if not out_of_turn:
            found.begun = True
            _spend(found)

    def _corrected(self, event: Corrected) -> None:
        if event.item is not None:
            return
        for first in self._named(event, event.of, event.step):
            before = self.latest.get(first.line, first)
            row = put_right(self.run, event, before)
            if before.standing != VOID:
                before.standing = CORRECTED
            self._add(row)
            self.latest[first.line] = self.latest[event.seq] = row

    def _named(self, event: Voided | Corrected, line: int | None, step: str | None) -> list[Pull]:
        """The pulls at a line that a later one names; where it holds several, the one of the step."""
        if line is None:
            return []
        if not 0 < line < event.seq:
            raise RecordFault(f"daybook.jsonl, line {event.seq}: it names line {line}, which is no line before it.")
        found = self.history.at_line.get(line, [])
        return [row for row in found if row.step.id == step] or found

    def _decided(self, event: Decided) -> None:
        position = event.position
        if position is not None and (aside := self._fastener(position).aside) and aside.seq == event.about:
            self._fastener(position).aside = None
            self._unsay(position, aside.step)
        about = self.run.events[event.about - 1] if 0 < event.about < event.seq else None
        named = about.positions if isinstance(about, Inspected) and about.positions else (position,)
        if event.choice in FROM_THE_BEGINNING:
            self._from_the_beginning(event, [each for each in named if each is not None])
        if not concession(event):
            return
        for each in named:
            self._say(each, event.step, event.seq, BY_CONCESSION)
            if each is not None:
                self._fastener(each).begun = True
        for row in self.history.at_line.get(event.about, []):
            stands = self.latest.get(row.line, row)
            if position in (None, row.position) and stands.standing != VOID:
                stands.outcome, stands.conceded_at = BY_CONCESSION, event.seq

    def _from_the_beginning(self, event: Decided, named: list[str]) -> None:
        """A new attempt for all positions of the scope at which anything was done, before any of it is loosened."""
        for position in dict.fromkeys(
            each for name in named for each in within_scope(self.run.plan, name, event.scope)
        ):
            found = self._fastener(position)
            renewed = event.choice == "new fastener" and position in named
            found.begun = found.begun or found.tight or renewed
            self._again(found, event.seq)


def _spend(found: Fastener) -> None:
    if not found.tight:
        found.tight, found.tightenings = True, found.tightenings + 1
