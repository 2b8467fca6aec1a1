"""What a doubtful tool touched: of one run, each kept reading made with it, with what it would have been."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from decimal import Decimal
from typing import Literal

from msgspec import Struct

from clampbook.check.deviation import true_torque
from clampbook.check.profile import Profile
from clampbook.record.frozen import Frozen, read
from clampbook.record.heading import outcome
from clampbook.record.history import tell
from clampbook.record.pull import KEPT, Pull, exact
from clampbook.run.events import (
    Confirmed,
    Corrected,
    Ends,
    Measured,
    RanDown,
    ReadingTaken,
    Rechecked,
    Released,
    Turned,
)
from clampbook.run.verdict import Ends as Window
from clampbook.run.verdict import Verdict, judge
from clampbook.units import Kind, convert, kind_of

Open = Literal["cannot be decided"]  # an end of the window lies within what the check leaves open
WITH_A_TOOL = (ReadingTaken, Released, Confirmed, RanDown, Rechecked, Measured, Corrected)


class Span(Struct, frozen=True):
    """From when to when (UTC, as daybooks hold it) a tool is in doubt; None is open."""

    after: str | None = None
    until: str | None = None

    def holds(self, at: str) -> bool:
        """Whether a moment lies in it."""
        return (self.after is None or at > self.after) and (self.until is None or at <= self.until)


class TouchedReading(Struct, frozen=True, kw_only=True):
    """One kept pull. `shown` is at the fastener, in `unit`; of a release it is what the tool was set for.

    `off` is the deviation in percent that was applied, `true` what it leaves at the fastener, `then` and `now` are the
    verdicts before and after. All of them are None where no deviation is known or nothing was judged.
    """

    line: int
    at: str
    step: str
    stage: int
    round: int
    group: str | None
    position: str | None
    kind: str
    outcome: str
    shown: Decimal
    unit: str
    window: Ends | None
    off: Decimal | None = None
    true: Decimal | None = None
    then: Verdict | None = None
    now: Verdict | Open | None = None

    @property
    def outside(self) -> bool:
        """Whether it would have been outside its window."""
        return self.now in ("under", "over")


class TouchedRun(Struct, frozen=True, kw_only=True):
    """One run and all that was done in it with the tool."""

    run: str
    title: str
    revision: str
    worked_on: str | None
    joint: str | None
    outcome: str
    readings: tuple[TouchedReading, ...]

    @property
    def outside(self) -> tuple[TouchedReading, ...]:
        """Those that would have been outside."""
        return tuple(each for each in self.readings if each.outside)

    @property
    def undecided(self) -> int:
        """How many lie so near to an end of their window that the check cannot tell."""
        return sum(each.now == "cannot be decided" for each in self.readings)

    @property
    def positions(self) -> dict[str, tuple[str, ...]]:
        """The positions by group, in the order in which they were pulled."""
        found: dict[str, dict[str, None]] = {}
        for each in self.readings:
            found.setdefault(each.group or "", {})[each.position or "all"] = None
        return {group: tuple(positions) for group, positions in found.items()}


def touched(
    procedure: bytes, plan: bytes, daybook: bytes, tool: str, span: Span, off: Profile | None
) -> TouchedRun | None:
    """What a tool (by id) did in a run during a span; None where it did nothing. Raises RecordFault.

    `off` is how far the tool is taken to have been off, in its own unit; None where that is not known.
    """
    if not names(daybook, tool):
        return None
    run = read(procedure, plan, daybook)
    readings = tuple(_readings(run, tool, span, off))
    if not readings:
        return None
    return TouchedRun(
        run=run.opened.run,
        title=run.plan.title,
        revision=run.plan.revision,
        worked_on=run.worked_on,
        joint=run.plan.joint,
        outcome=outcome(run),
        readings=readings,
    )


def names(daybook: bytes, tool: str) -> bool:
    """Whether a daybook can have anything to do with a tool, without reading its lines one by one."""
    return f'"id":"{tool}"'.encode() in daybook


def _readings(run: Frozen, tool: str, span: Span, off: Profile | None) -> Iterator[TouchedReading]:
    for pull in _kept(tell(run).pulls, tool):
        if span.holds(_when(run, pull)):
            found = _reading(run, pull, off)
            if found is not None:
                yield found


def _kept(pulls: Iterable[Pull], tool: str) -> Iterator[Pull]:
    return (
        pull for pull in pulls if pull.tool == tool and pull.standing == KEPT and isinstance(pull.event, WITH_A_TOOL)
    )


def _when(run: Frozen, pull: Pull) -> str:
    """When it was pulled; a correction came later than its pull."""
    at = pull.corrects
    while at is not None and isinstance(event := run.events[at - 1], Corrected):
        at = event.of
    return run.events[at - 1].at if at is not None else pull.event.at


def _reading(run: Frozen, pull: Pull, off: Profile | None) -> TouchedReading | None:
    """None for what is no torque."""
    event = pull.event
    if isinstance(event, Turned) or pull.kind in ("stretch", "turn"):
        return None
    on_scale = _on_scale(pull)
    there = getattr(event, "at_fastener", None) or (pull.shown if on_scale is not None else None)
    if on_scale is None or there is None:
        return None
    shown = exact(there, pull.line)
    window = _exact(pull.window, pull.line)
    percent, true, now = None, None, None
    if off is not None:
        value, unit = on_scale
        percent, true, now = _reckoned(shown, convert(exact(value, pull.line), unit, off.unit), window, off)
    return TouchedReading(
        line=pull.line,
        at=_when(run, pull),
        step=pull.step.id,
        stage=pull.step.stage,
        round=pull.step.round,
        group=pull.step.group,
        position=pull.position,
        kind=pull.kind,
        outcome=pull.outcome,
        shown=shown,
        unit=run.plan.unit,
        window=pull.window,
        off=percent,
        true=true,
        then=None if now is None else judge(shown, window),
        now=now,
    )


def _reckoned(
    shown: Decimal, on_scale: Decimal, window: Window, off: Profile
) -> tuple[Decimal, Decimal, Verdict | Open | None]:
    """The deviation, what it leaves at the fastener, and the verdict: one that holds over all that the check leaves
    open, or that none can be given. `on_scale` is in the unit of the profile."""
    percent, unsure = off.at(on_scale), off.unsure_at(on_scale)
    true = true_torque(shown, percent)
    if window == (None, None):
        return percent, true, None
    ends = {judge(true_torque(shown, percent + by), window) for by in (unsure, -unsure)}
    return percent, true, ends.pop() if len(ends) == 1 else "cannot be decided"


def _on_scale(pull: Pull) -> tuple[str, str] | None:
    """What the tool itself showed or was set to, with its unit; None where that is no torque."""
    event = pull.event
    value = getattr(event, "set_to", None) or getattr(event, "value", None)
    unit = getattr(event, "unit", None)
    if value is None or unit is None or kind_of(unit) != Kind.TORQUE:
        return None
    return value, unit


def _exact(window: Ends | None, line: int) -> Window:
    low, high = window or (None, None)
    return None if low is None else exact(low, line), None if high is None else exact(high, line)
