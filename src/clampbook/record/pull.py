"""An act as the record tells it: a row of its table of pulls, with the line that it came from.

A release shows nothing: it has a setting and no value, and so it can never be taken for a reading.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from decimal import Decimal, InvalidOperation

from clampbook.run.events import Corrected, Ends, Event
from clampbook.run.fold.acts import CLICKS, Act
from clampbook.run.plan import Step
from clampbook.work.frozen import RecordFault

COUNTS = "counts"
ROWS = (
    "pull",
    "turn",
    "slot",
    "prevailing torque",
    "final torque",
    "stretch",
    "measurement",
    "recheck",
    "backing off",
    "loosening",
    "application",
    "bad pull",
    "wrong position",
)
"""The kinds of rows; what was looked at, decided or waited for has tables of its own."""


def kind_of_row(act: Act) -> str:
    """A click and a confirmed one are pulls whose outcome says what they were."""
    if act.kind in CLICKS:
        return "pull"
    return act.kind


@dataclass(slots=True)
class Pull:
    """An act, its line, its step, and the lines that call it into question with its tool."""

    act: Act
    event: Event
    step: Step
    questioned: list[int] = field(default_factory=list)

    @property
    def line(self) -> int:
        """Its line in the daybook."""
        return self.act.line

    @property
    def kind(self) -> str:
        """Its kind, as the table of the record has it."""
        return kind_of_row(self.act)

    @property
    def position(self) -> str | None:
        """The position at which it was done; None at a gate."""
        return self.act.position

    @property
    def attempt(self) -> int:
        """The attempt of its position by then: how often that had been started over, counted from 1."""
        return self.act.attempt

    @property
    def outcome(self) -> str:
        """The outcome, as one word."""
        return self.act.outcome

    @property
    def standing(self) -> str:
        """Kept, or why it does not count."""
        return self.act.why_not or COUNTS

    @property
    def window(self) -> Ends | None:
        """The window that it was judged by; None where it was not."""
        return self.act.window

    @property
    def verdict(self) -> str | None:
        """The verdict on its number."""
        return self.act.verdict

    @property
    def shown(self) -> str | None:
        """The value that is judged: at the fastener, the sum of a turn, or a measured result; None where no number
        exists."""
        return self.act.shown

    @property
    def shown_unit(self) -> str | None:
        """The unit of that."""
        return self.act.shown_unit

    @property
    def tool(self) -> str | None:
        """The tool, by its id."""
        return self.act.tool

    @property
    def corrects(self) -> int | None:
        """The line that it puts right."""
        return self.act.about if self.act.corrects else None

    @property
    def judged_anew(self) -> bool:
        """True where the value stands as it was typed, and one that is taken off it was put right."""
        return isinstance(self.event, Corrected) and self.corrects != self.event.of

    @property
    def conceded_at(self) -> int | None:
        """The line in which it was accepted by concession."""
        return self.act.conceded_at

    @property
    def work(self) -> bool:
        """True where it was inserted before a position started over, at a step that is not its own."""
        return self.act.work

    @property
    def exact(self) -> Decimal | None:
        """The exact number that it shows; raises RecordFault where the daybook holds something else."""
        return None if self.shown is None else exact(self.shown, self.line)


def exact(text: str, line: int) -> Decimal:
    """A decimal of the daybook; numbers that no tool can show are refused before anybody counts with them."""
    try:
        value = Decimal(text)
    except InvalidOperation:
        value = Decimal("NaN")
    if not value.is_finite() or abs(value.adjusted()) > 100 or len(text) > 300:
        raise RecordFault(f"daybook.jsonl, line {line}: {text[:40]!r} is no measured number.")
    return value
