"""One pull as the record keeps it: what was done at which position, what it showed, and what became of it since.

A release shows nothing: it has a setting and no value, and so it can never be taken for a reading.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from decimal import Decimal, InvalidOperation
from typing import Literal, assert_never

from clampbook.procedure.model import Measure, Tighten
from clampbook.record.frozen import Frozen, RecordFault
from clampbook.run.events import (
    Applied,
    Confirmed,
    Corrected,
    Ends,
    Loosened,
    Measured,
    RanDown,
    ReadingTaken,
    Rechecked,
    Released,
    Turned,
    Voided,
)
from clampbook.run.plan import Step

Kind = Literal[
    "pull",
    "turn",
    "run-down",
    "final torque",
    "stretch",
    "measurement",
    "recheck",
    "loosening",
    "application",
    "bad pull",
]
PullEvent = (
    RanDown
    | ReadingTaken
    | Released
    | Confirmed
    | Turned
    | Loosened
    | Applied
    | Measured
    | Rechecked
    | Corrected
    | Voided
)

CONFIRMED = "confirmed by round"
MARK_TO_MARK = "mark to mark"
BY_CONCESSION = "by concession"
NOT_JUDGED = "not judged"
RELEASED = "released"
KEPT = "kept"
DEGREES = "°"


@dataclass(slots=True)
class Pull:
    """A line of the daybook about one position (or a gate, position None), as a row of the record.

    `shown` is what is judged and counted: at the fastener in the sheet's unit, the sum of a turn in degrees, or a
    measured result; exact, in `shown_unit`; None where no number exists. `standing` is filled in once all lines are
    known, as are `question` and a concession.
    """

    event: PullEvent
    kind: Kind
    step: Step
    position: str | None
    attempt: int
    outcome: str
    window: Ends | None = None
    verdict: str | None = None
    shown: str | None = None
    shown_unit: str | None = None
    unit: str | None = None
    tool: str | None = None
    corrects: int | None = None
    standing: str = KEPT
    questions: list[str] = field(default_factory=list)
    conceded_at: int | None = None

    @property
    def line(self) -> int:
        """Its line in the daybook."""
        return self.event.seq

    @property
    def work(self) -> bool:
        """Whether it was inserted before a position was taken from the beginning, at a step that is not its own."""
        return isinstance(self.event, Loosened) and self.event.work

    @property
    def exact(self) -> Decimal | None:
        """What it shows as an exact number; raises RecordFault where the daybook holds something else."""
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


def pulled(run: Frozen, event: PullEvent, step: Step, position: str | None, attempt: int) -> Pull:
    """The row of an event that is no correction; what it says about itself, before later lines say more."""
    row = Pull(event, "pull", step, position, attempt, outcome="", tool=getattr(event, "tool", None))
    match event:
        case ReadingTaken():
            _judge(row, event.verdict, event.window, event.at_fastener, run.plan.unit, event.unit)
        case Released() | Confirmed():
            row.outcome = RELEASED if isinstance(event, Released) else CONFIRMED
            row.window, row.unit = event.window, event.unit
        case Turned():
            row.kind = "turn"
            _judge(row, event.verdict, event.window, event.sum, DEGREES, None if event.value is None else DEGREES)
            if event.value is None and event.verdict == "within":
                row.outcome = MARK_TO_MARK
        case RanDown():
            row.kind = "run-down"
            _judge(row, event.verdict, event.window, event.at_fastener, run.plan.unit, event.unit)
        case Measured():
            row.kind = event.part or "measurement"
            _judge(row, event.verdict, event.window, event.result, _unit_of_result(run, event, step), event.unit)
            if event.spread is not None:  # with the last point, the spread of all of them is judged, window or not
                row.verdict = row.outcome = event.verdict
        case Rechecked():
            row.kind = "recheck"
            _judge(row, event.verdict, event.window, event.at_fastener, run.plan.unit, event.unit)
            row.outcome = "moved" if event.moved else "still"
        case Loosened():
            row.kind, row.outcome = "loosening", "loosened"
        case Applied():
            row.kind, row.outcome = "application", "applied"
        case Voided():
            row.kind, row.outcome = "bad pull", "void"
        case Corrected():
            raise RecordFault(f"daybook.jsonl, line {event.seq}: a correction stands without what it corrects.")
        case _:
            assert_never(event)
    return row


def put_right(run: Frozen, event: Corrected, first: Pull) -> Pull:
    """The row of a correction: the pull that it names, with the value that it was put right to.

    What was judged is judged anew; a lot or a bad pull stays what it was, whatever was typed with it.
    """
    row = replace(first, event=event, corrects=event.of, questions=[], conceded_at=None)
    unit: str | None
    match first.kind:
        case "loosening" | "application" | "bad pull":
            return row
        case "turn":
            shown, unit = event.sum, DEGREES
        case "pull" | "run-down" | "recheck":
            shown, unit = event.at_fastener, run.plan.unit
        case _:
            shown, unit = event.result, event.unit
    window = event.window if event.window is not None else first.window
    # What was put right may have had no number, so no unit either: a turn from mark to mark, a release.
    _judge(row, event.verdict, window, shown or event.value, first.shown_unit or unit, event.unit or first.unit)
    if first.kind == "recheck":
        row.outcome = first.outcome
    return row


def _judge(
    row: Pull, verdict: str | None, window: Ends | None, shown: str | None, shown_unit: str | None, unit: str | None
) -> None:
    """A number that is judged; where the sheet names no window nothing was judged."""
    judged = window is not None and window != (None, None)
    row.verdict = verdict if judged else None
    row.outcome = row.verdict or NOT_JUDGED
    row.window = window if judged else None
    row.shown, row.shown_unit, row.unit = shown, shown_unit if shown is not None else None, unit


def _unit_of_result(run: Frozen, event: Measured, step: Step) -> str:
    """A last torque is judged in the sheet's unit, a stretch in that of its window, anything else as measured."""
    stage = run.plan.stage_of(step)
    if event.part == "final torque":
        return run.plan.unit
    if event.part == "stretch" and isinstance(stage, Tighten) and stage.stretch is not None:
        return stage.stretch.window.unit
    return stage.unit if isinstance(stage, Measure) else event.unit
