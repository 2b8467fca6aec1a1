"""The work of a suspect tool: of one run, each act that it was loaded for, with what it would have been."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from typing import Literal

from msgspec import Struct

from clampbook.check.deviation import true_torque
from clampbook.check.profile import Profile
from clampbook.record.frozen import Frozen, read
from clampbook.record.heading import outcome
from clampbook.record.history import History, tell
from clampbook.record.pull import exact
from clampbook.run.events import Ends, ToolTaken
from clampbook.run.fold.acts import DEGREES, Act, Kind, WhyNot
from clampbook.run.fold.verdict import Ends as Window
from clampbook.run.fold.verdict import Verdict, judge
from clampbook.run.told.in_question import cause
from clampbook.tools.identity import Identity
from clampbook.units import Kind as Quantity
from clampbook.units import convert, kind_of

Open = Literal["undecided"]  # an end of the window lies within what the check leaves open


class Span(Struct, frozen=True):
    """From when to when (UTC, as daybooks hold it) a tool is in question; None is open."""

    after: str | None = None
    until: str | None = None

    def holds(self, at: str) -> bool:
        """True where a moment lies in it."""
        return (self.after is None or at > self.after) and (self.until is None or at <= self.until)


class AffectedReading(Struct, frozen=True, kw_only=True):
    """One use of the tool. `shown` is at the fastener, in `unit`; of a release it is what the tool was set for, of a
    turn its angle; None where nobody knows. `why_not` says why it does not count, None where it does.

    `off` is the deviation in percent that was applied, `true` what it leaves at the fastener, `then` and `now` are the
    verdicts before and after. All of them are None where no deviation is known or nothing was judged.
    """

    line: int
    at: str
    step: str
    stage: int  # as it is told: of several joints each begins at 1
    round: int
    joint: str | None  # of several
    group: str | None
    position: str | None
    kind: Kind
    outcome: str
    shown: Decimal | None
    unit: str
    window: Ends | None
    off: Decimal | None = None
    true: Decimal | None = None
    then: Verdict | None = None
    now: Verdict | Open | None = None
    set_to: str | None = None
    adapter: str | None = None
    why_not: WhyNot | None = None

    @property
    def kept(self) -> bool:
        """True where it counts."""
        return self.why_not is None

    @property
    def outside(self) -> bool:
        """True where it would have been outside its window."""
        return self.now in ("under", "over")


class AffectedQuestion(Struct, frozen=True, kw_only=True):
    """A question that the run itself found of the tool: in a clause behind its name, at which line, and how many of
    the uses that are listed it calls into question."""

    because: str
    line: int
    readings: int


class AffectedRun(Struct, frozen=True, kw_only=True):
    """One run and all that was done in it with the tool."""

    run: str
    title: str
    revision: str
    worked_on: str | None
    joint: str | None
    outcome: str
    readings: tuple[AffectedReading, ...]
    in_question: tuple[AffectedQuestion, ...] = ()

    @property
    def kept(self) -> tuple[AffectedReading, ...]:
        """Those that count."""
        return tuple(each for each in self.readings if each.kept)

    @property
    def outside(self) -> tuple[AffectedReading, ...]:
        """Those that would have been outside."""
        return tuple(each for each in self.readings if each.outside)

    @property
    def undecided(self) -> int:
        """The number of those so near to an end of their window that the check cannot tell."""
        return sum(each.now == "undecided" for each in self.readings)

    @property
    def positions(self) -> dict[str, tuple[str, ...]]:
        """The positions by group, in the order in which they were pulled."""
        found: dict[str, dict[str, None]] = {}
        for each in self.readings:
            found.setdefault(each.group or "", {})[each.position or "all"] = None
        return {group: tuple(positions) for group, positions in found.items()}


def affected(
    procedure: bytes, plan: bytes, daybook: bytes, tool: Identity, span: Span, off: Profile | None
) -> AffectedRun | None:
    """Give what a tool did in a run during a span; None where it did nothing. Raises RecordFault.

    `off` is how far the tool is taken to have been off, in its own unit; None where that is not known.
    """
    if not names(daybook, tool.id):
        return None
    run = read(procedure, plan, daybook)
    history = tell(run)
    readings = tuple(_readings(run, history, tool, span, off))
    if not readings:
        return None
    return AffectedRun(
        run=run.opened.run,
        title=run.plan.title,
        revision=run.plan.revision,
        worked_on=run.worked_on,
        joint=run.plan.joint,
        outcome=outcome(run),
        readings=readings,
        in_question=tuple(_in_question(history, tool.id, readings)),
    )


def _in_question(history: History, tool: str, readings: tuple[AffectedReading, ...]) -> Iterator[AffectedQuestion]:
    for each in history.progress.in_question:
        lines = sum(each.holds(reading.line) for reading in readings)
        if each.tool == tool and lines:
            yield AffectedQuestion(because=cause(each), line=each.line, readings=lines)


def names(daybook: bytes, tool: str) -> bool:
    """True where a daybook can have anything to do with a tool, without reading its lines one by one."""
    return f'"id":"{tool}"'.encode() in daybook


def _readings(
    run: Frozen, history: History, tool: Identity, span: Span, off: Profile | None
) -> Iterator[AffectedReading]:
    """Every use of the tool or adapter, in the order in which it was made; a value that was put right stands for it."""
    acts = history.acts
    stands = {act.about: act for act in acts if act.corrects}
    others = _others(run, tool)
    for use in acts:
        named = tool.id in (use.tool, use.adapter) and not _holds(others, use.line)
        if use.used and named and span.holds(use.at):
            act = use
            while act.why_not in ("corrected", "from memory alone") and act.line in stands:
                act = stands[act.line]
            yield _reading(run, use, act, off)


def _others(run: Frozen, tool: Identity) -> list[tuple[int, bool]]:
    """From which line on another tool of that id is in hand (True), or this one (False)."""
    book = run.opened.book
    found = [(0, not tool.is_same(book, None, run.opened.at))]
    for event in run.events:
        if isinstance(event, ToolTaken) and event.tool.id == tool.id:
            found.append((event.seq, not tool.is_same(book, event.tool.serial, event.at)))
    return found


def _holds(others: list[tuple[int, bool]], line: int) -> bool:
    return next(another for since, another in reversed(others) if since <= line)


def _reading(run: Frozen, use: Act, act: Act, off: Profile | None) -> AffectedReading:
    """One use, by its own line; `act` is what stands for it, later where it was put right."""
    shown, unit = _shown(run, act)
    window = _exact(act.window, act.line)
    percent, true, now = None, None, None
    on_scale, joint = act.set_to or act.value, run.plan.joint_at(act.position, act.stage)
    of_torque = act.unit is not None and kind_of(act.unit) == Quantity.TORQUE
    if off is not None and act.counts and shown is not None and on_scale is not None and act.unit and of_torque:
        there = convert(exact(on_scale, act.line), act.unit, off.unit)
        percent, true, now = _reckoned(shown, there, window, off)
    return AffectedReading(
        line=use.line,
        at=use.at,
        step=act.step,
        stage=run.plan.numbered[act.stage],
        round=act.round,
        joint=None if joint is None else joint.name,
        group=run.plan.steps[run.plan.index_of[act.step]].group,
        position=act.position,
        kind=act.kind,
        outcome=act.outcome,
        shown=shown,
        unit=unit,
        window=act.window,
        off=percent,
        true=true,
        then=None if now is None or shown is None else judge(shown, window),
        now=now,
        set_to=act.set_to,
        adapter=act.adapter,
        why_not=act.why_not,
    )


def _shown(run: Frozen, act: Act) -> tuple[Decimal | None, str]:
    """Give what the fastener got, as it was told, and in which unit; of a stroke its angle."""
    if act.kind == "turn" or act.angle is not None:
        return None if act.angle is None else exact(act.angle, act.line), DEGREES
    if act.at_fastener is not None:
        return exact(act.at_fastener, act.line), run.plan.unit
    told = act.shown or act.value
    return None if told is None else exact(told, act.line), act.shown_unit or act.unit or run.plan.unit


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
    return percent, true, ends.pop() if len(ends) == 1 else "undecided"


def _exact(window: Ends | None, line: int) -> Window:
    low, high = window or (None, None)
    return None if low is None else exact(low, line), None if high is None else exact(high, line)
