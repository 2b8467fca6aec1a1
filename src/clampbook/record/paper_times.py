"""The times on a paper form beside what was done: of a row its own, or the beginning and end of its round."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from clampbook.record.frozen import Frozen
from clampbook.record.moments import at_its_place, local
from clampbook.record.tables import Row
from clampbook.run import events as e
from clampbook.run.fold.tools import ToolEvent

WHEREVER_TOLD = 2  # the rules since which a time on a form, and that none is there, is told wherever its row is
_Place = tuple[str | None, int]  # step and attempt: one row of the form


@dataclass(slots=True)
class _Round:
    """The two times of a round, None where they do not stand there."""

    stage: int
    since: str | None
    until: str | None = None
    ended: bool = False
    no_end: bool = False  # it was asked for, and none stands there


@dataclass(slots=True)
class _Reading:
    """A form as it is read on, line by line."""

    run: Frozen
    rounds: list[_Round] = field(default_factory=list)
    of: dict[tuple[int, bool], _Round] = field(default_factory=dict)  # by stage; True: of what was started over in it
    first: dict[str, int] = field(default_factory=dict)  # the attempt in which a step was done first
    begun: _Round | None = None  # before its first row
    now: _Round | None = None  # of the line that was read last
    own: str | None = None  # the time beside a row
    beside: _Place | None = None  # that row, once it is there

    def told(self, event: e.PaperTime) -> None:
        """A time beside the row that comes next, or the beginning or end of a round."""
        if event.stands is not None:
            self._beside(at_its_place(event, event.stands))
        elif event.step is None:
            if event.done_by_person is None:  # initials alone have no time
                self._beside(local(event))
        elif event.until:
            self._end(event, self.run.step(event, event.step).stage)
        else:
            stage = self.run.step(event, event.step).stage
            self.begun = _Round(stage, None if event.blank else local(event))
            self.now = self.begun
            self.rounds.append(self.begun)
            self._beside(None)

    def _beside(self, own: str | None) -> None:
        self.own, self.beside = own, None

    def _end(self, event: e.PaperTime, stage: int) -> None:
        """The end of the first round of a stage that has none yet: no end is asked of what is started over in it."""
        ended = next((each for each in self.rounds if each.stage == stage and not each.ended), None)
        if ended is not None:
            ended.ended, ended.until = True, None if event.blank else local(event)
            ended.no_end = event.blank is True and self.run.tells(WHEREVER_TOLD)
            self.now = self.now if event.blank else None
        self._beside(None)

    def own_of(self, event: e.Event) -> str | None:
        """The time beside the row of this line; the next row has none of it."""
        place = _place(event)
        if self.beside is None:
            self.beside = place
        elif self.beside != place:
            self._beside(None)
        return self.own

    def round_of(self, event: e.Event) -> _Round | None:
        """The round of this line. What was started over within a round has times of its own, and what comes after it
        has those of the round again."""
        step, attempt = _place(event)
        if step is None:
            return None
        stage, again = self.run.step(event, step).stage, attempt > self.first.setdefault(step, attempt)
        if self.begun is not None and self.begun.stage == stage:
            self.of.pop((stage, True), None)
            self.of[stage, again], self.begun = self.begun, None
        self.now = self.of.get((stage, again)) or self.of.get((stage, False))
        return self.now


def times_on_form(run: Frozen) -> Mapping[int, Row]:
    """For each line of work, and of a tool for it, what its row says of its time, where that is not the time of the
    line: `time_on_form` is its own, `on_form_since` and `on_form_until` those of its round; `no_time_on_form` where
    neither it nor the beginning of its round has one, `no_end_on_form` where no end of its round stands there."""
    form = _Reading(run)
    found: dict[int, tuple[e.Event, str | None, _Round | None]] = {}
    for event in run.events if run.plan.late else ():
        if isinstance(event, e.PaperTime):
            form.told(event)
        elif isinstance(event, e.Waited | e.WaitBegun):  # its own time is that of its line
            form.own = form.now = None
        elif isinstance(event, e.Corrected) and event.of in found:
            found[event.seq] = found[event.of]
        elif isinstance(event, e.LeftBlank) and event.step is None:  # of no round: an item, or a role
            form.own = None
        elif isinstance(event, e.Decided):
            if run.tells(WHEREVER_TOLD) and event.about in found:
                # decided beside that row; a form has no other time for it
                found[event.seq] = found[event.about]
        elif isinstance(event, e.LeftBlank | e.Voided | e.OfTheWork) and not getattr(event, "work", None):
            found[event.seq] = event, form.own_of(event), form.round_of(event)
        elif isinstance(event, ToolEvent) and form.now is not None and form.now.since is None:
            found[event.seq] = event, None, _Round(form.now.stage, None)
    return {line: _row(*told) for line, told in found.items()}


def where_it_differs(event: e.Event, on_form: Row) -> Row:
    """The time beside its row, where that is not the time of the line, or that none stands there; else nothing. From
    when on its round was done stands with the reading, and is not said again."""
    if on_form.get("no_time_on_form"):
        return {"no_time_on_form": True}
    own = on_form.get("time_on_form")
    return {} if own in (None, local(event)) else {"time_on_form": own}


def beside_its_row(event: e.PaperTime) -> Row:
    """The time that a line holds for the row that comes next, earlier than the time of the line."""
    return {} if event.stands is None else {"time_on_form": at_its_place(event, event.stands)}


def _row(event: e.Event, own: str | None, round_: _Round | None) -> Row:
    if round_ is None:
        return {} if own is None else {"time_on_form": own}
    end: Row = {"on_form_until": round_.until, "no_end_on_form": True if round_.no_end else None}
    if own is not None:
        return {"time_on_form": own, **end}
    since = round_.since if round_.since != local(event) else None
    blank = True if round_.since is None else None
    return {"on_form_since": since, **end, "no_time_on_form": blank}


def _place(event: e.Event) -> _Place:
    return getattr(event, "step", None), getattr(event, "attempt", 1)
