"""The one loop of all work: an answer is decided, written and synced, then folded, and what is due is asked.

A run and a check differ in what they know at a moment, and in nothing else here. Only a `Loop` writes their daybooks.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any, Generic, Protocol, TypeVar

from clampbook.ledger.event import LineBase
from clampbook.ledger.ledger import Ledger
from clampbook.ledger.stamp import Stamp
from clampbook.work.outcome import Refused, Unsure

ABSURD = timedelta(days=400)  # a gap longer than this says more about the clock than about the work

Moment = TypeVar("Moment")
Prompt = TypeVar("Prompt")
Answer = TypeVar("Answer")
Event = TypeVar("Event", bound=LineBase)
Decided = TypeVar("Decided", bound=LineBase, covariant=True)


class Accepted(Protocol[Decided]):
    """The answer is an event, to be written."""

    @property
    def event(self) -> Decided:
        """As it was decided, without its number."""


@dataclass(frozen=True, slots=True)
class Work(Generic[Moment, Prompt, Answer, Event]):
    """A kind of work to the loop: what is asked at a moment, what an answer comes to, the moment after a line, or
    after an unusual value. `fields` gives what an event writes, `read` the event of a line as it stands there."""

    prompt: Callable[[Moment], Prompt]
    decide: Callable[[Moment, Answer, Stamp], Accepted[Event] | Unsure | Refused]
    apply: Callable[[Moment, Event], Moment]
    unusual: Callable[[Moment, Unsure], Moment]
    fields: Callable[[Event], dict[str, Any]]
    read: Callable[[bytes], Event]


class Loop(Generic[Moment, Prompt, Answer, Event]):
    """Work that is being done: `at` is the moment, `prompt` what is asked there."""

    def __init__(self, work: Work[Moment, Prompt, Answer, Event], ledger: Ledger, at: Moment) -> None:
        self._work = work
        self._ledger = ledger
        self.look_at(at)

    def look_at(self, at: Moment) -> None:
        """Ask what is due at this moment, which no line brought about."""
        self.at = at
        self.prompt: Prompt = self._work.prompt(at)

    def answer(self, answer: Answer, stamp: Stamp) -> Event | Unsure | Refused:
        """Decide, write, fold: the event as it stands in the daybook, with its number, or what became of it instead.

        Raises LedgerFault where the line could not be written; then nothing has changed and it can be tried again.
        """
        outcome = self._work.decide(self.at, answer, stamp)
        match outcome:
            case Unsure():
                self.at = self._work.unusual(self.at, outcome)
                return outcome
            case Refused():
                return outcome
            case accepted:
                return self.store(accepted.event)

    def store(self, event: Event) -> Event:
        """Append the line, sync it, fold it, and ask what is due then. Raises LedgerFault as `answer` does."""
        stored = self._work.read(self._ledger.append(self._work.fields(event)))
        self.look_at(self._work.apply(self.at, stored))
        return stored


def gap(before: datetime, now: datetime) -> str | None:
    """Whole seconds from the last line until work was taken up again; None where a clock must have been wrong."""
    passed = now - before
    return f"{passed.total_seconds():.0f}" if timedelta(0) <= passed <= ABSURD else None
