"""The things against a tool for which a reason is wanted: facts that a run stores, told in clauses behind its name.

Each has a lasting word for its cause, the same at every step: a reason stands for a tool and a cause.
"""

from __future__ import annotations

from decimal import Decimal
from typing import Literal, assert_never

from msgspec import Struct

from clampbook.tools.model import Judges, LastCheck, Trouble, TroubleKind, cause_of, happened
from clampbook.tools.permitted import signed
from clampbook.units import show, show_span


class Against(Struct, frozen=True, tag_field="against", omit_defaults=True):
    """Any of them."""


class Overdue(Against, frozen=True, tag="calibration overdue"):
    """Its calibration ended on a day (ISO 8601)."""

    since: str


class UsedUp(Against, frozen=True, tag="pulls used up"):
    """It has made as many pulls as its calibration allows."""

    pulls: int
    allowed: int


class Ahead(Against, frozen=True, tag="calibration ahead"):
    """It was calibrated on a day that is still to come."""

    on: str


class OutOfService(Against, frozen=True, tag="out of service"):
    """Somebody took it out of service, and said why."""

    since: str
    reason: str


class FailedCheck(Against, frozen=True, tag="failed check"):
    """Its last check found it off by more than is `allowed`, in percent."""

    check: LastCheck
    allowed: Decimal | None = None


class Happened(Against, frozen=True, tag="happened"):
    """Something happened to it on a day, as a line of a run tells, and no check has looked at it since."""

    kind: TroubleKind
    on: str
    run: str
    line: int
    why: str | None = None


class EndOfTurn(Against, frozen=True, tag="end of turn"):
    """The turn may end at a torque above its maximum."""

    torque: Decimal
    maximum: Decimal
    unit: str


class PullsBeyond(Against, frozen=True, tag="pull beyond"):
    """The pull may reach a torque above its maximum."""

    torque: Decimal
    maximum: Decimal
    unit: str


class AdapterBeyond(Against, frozen=True, tag="adapter beyond"):
    """The pull may reach a torque, on the tool, above what the multiplier on it bears."""

    torque: Decimal
    unit: str
    name: str
    bears: str


class OffRange(Against, frozen=True, tag="off range"):
    """The torque that it has to show lies outside its working range."""

    torque: Decimal
    low: Decimal
    high: Decimal
    unit: str

    @property
    def side(self) -> Literal["below", "above"]:
        """On which side of it."""
        return "below" if self.torque < self.low else "above"


class MayBeOff(Against, frozen=True, tag="may be off"):
    """It may be off by more than the window leaves, with nothing done wrong: by `percent`, here that much."""

    by: Decimal
    leaves: Decimal
    unit: str
    percent: Decimal


class OffScale(Against, frozen=True, tag="off scale"):
    """An end of the window that is measured lies beyond the scale."""

    end: Decimal
    low: Decimal
    high: Decimal
    unit: str


class TooCoarse(Against, frozen=True, tag="too coarse"):
    """Its scale lines stand too far apart for the width of the window."""

    step: Decimal
    width: Decimal
    unit: str
    judges: Judges | None = None


class LessSure(Against, frozen=True, tag="less sure"):
    """Its uncertainty is more than the window leaves either way."""

    by: Decimal
    leaves: Decimal
    unit: str
    judges: Judges | None = None


class AnotherBefore(Against, frozen=True, tag="another before"):
    """The value that is taken off was measured with another instrument: what the two are off by does not cancel."""

    before: str
    what: str


class NoGauge(Against, frozen=True, tag="no gauge"):
    """The procedure asks for a gauge, and turning by the mark gives no number."""


class Cannot(Against, frozen=True, tag="cannot"):
    """It cannot do this at all, and was used all the same, as a paper form says."""


One = (
    Cannot
    | Overdue
    | UsedUp
    | Ahead
    | OutOfService
    | FailedCheck
    | Happened
    | EndOfTurn
    | PullsBeyond
    | AdapterBeyond
    | OffRange
    | MayBeOff
    | OffScale
    | TooCoarse
    | LessSure
    | AnotherBefore
    | NoGauge
)


def cause(one: One) -> str:
    """The lasting word for it."""
    match one:
        case Cannot():
            return "cannot"
        case Overdue() | UsedUp():
            return "calibration past"
        case Ahead():
            return "calibration ahead"
        case OutOfService():
            return "withdrawn"
        case FailedCheck():
            return "out of service"
        case Happened(kind=kind, run=run, line=line):
            return cause_of(kind, run, line)
        case EndOfTurn():
            return "end of the turn off its scale"
        case PullsBeyond():
            return "above its working range"
        case AdapterBeyond():
            return "above what its adapter bears"
        case OffRange(side=side):
            return f"{side} its working range"
        case MayBeOff():
            return "may be off by more than the window leaves"
        case OffScale():
            return "window beyond its scale"
        case TooCoarse():
            return "too coarse for the window"
        case LessSure():
            return "less sure than the window leaves"
        case AnotherBefore():
            return "another instrument than before"
        case NoGauge():
            return "no gauge"
        case _ as never:
            assert_never(never)


def clause(one: One) -> str:
    """It in a clause that follows the tool's name."""
    match one:
        case Cannot():
            return "cannot do this"
        case Overdue(since=since):
            return overdue(since)
        case UsedUp(pulls=pulls, allowed=allowed):
            return f"calibration overdue: {pulls} pulls, {allowed} allowed"
        case Ahead(on=on):
            return f"calibration date in the future: {on}"
        case OutOfService(since=since, reason=reason):
            return f"out of service since {since}: {reason}"
        case FailedCheck(check=check, allowed=limit):
            return failed_words(check, limit)
        case Happened(kind=kind, on=on, why=why):
            told = happened(kind, on, why)
            return f"{told}, not checked since" if kind in ("dropped", "suspect") else told
        case EndOfTurn(torque=torque, maximum=most, unit=unit):
            return f"the turn may end at {show(torque, unit)}, above its maximum of {show(most, unit)}"
        case PullsBeyond(torque=torque, maximum=most, unit=unit):
            return f"the pull may reach {show(torque, unit)}, above its maximum of {show(most, unit)}"
        case AdapterBeyond(torque=torque, unit=unit, name=name, bears=bears):
            return f"the pull may reach {show(torque, unit)}, {name} {bears}"
        case OffRange(torque=torque, low=low, high=high, unit=unit, side=side):
            return f"{show(torque, unit)} is {side} its working range ({show_span(low, high, unit)})"
        case MayBeOff(by=by, leaves=leaves, unit=unit, percent=percent):
            return f"may be off by {show(by, unit)} (±{percent} %), the window leaves {show(leaves, unit)}"
        case OffScale(end=end, low=low, high=high, unit=unit):
            return f"its scale ({show_span(low, high, unit)}) does not reach {show(end, unit)}"
        case TooCoarse(step=step, width=width, unit=unit, judges=judges):
            return f"scale lines {show(step, unit)} apart, coarse for {how_wide(show(width, unit), judges)}"
        case LessSure(by=by, leaves=leaves, unit=unit, judges=judges):
            return f"uncertain by {show(by, unit)}, {left_by(judges)} leaves {show(leaves, unit)}"
        case AnotherBefore(before=before, what=what):
            return f"{what} was measured with {before}, their zeros do not cancel"
        case NoGauge():
            return "the procedure asks for a gauge, a mark gives no number"
        case _ as never:
            assert_never(never)


def before_taking(against: tuple[One, ...], *, open: bool) -> str | None:
    """The word at a tool that is not simply taken, in every list: a reason is wanted, or its adapter will tell whether
    one is. None where neither is so."""
    return "needs a reason" if against else "depends on its adapter" if open else None


_LEAVES: dict[Judges | None, str] = {
    None: "the window",
    "spread": "the spread",
    "difference": "the window of the difference",
}


def how_wide(width: str, judges: Judges | None) -> str:
    """ "a window 0.3 mm wide", "the spread of 0.3 mm", "the window of the difference, 0.05 mm wide"."""
    if judges == "spread":
        return f"the spread of {width}"
    return f"a window {width} wide" if judges is None else f"{_LEAVES[judges]}, {width} wide"


def left_by(judges: Judges | None) -> str:
    """Name what leaves so much either way."""
    return _LEAVES[judges]


def has_happened(trouble: Trouble) -> Happened:
    """A trouble as what is against its tool."""
    return Happened(trouble.kind, trouble.on, trouble.run, trouble.line, trouble.why)


def told(name: str, against: tuple[One, ...]) -> tuple[str, ...]:
    """Each with the tool's name in front; turning by the mark is no tool that has one."""
    return tuple(clause(one) if isinstance(one, NoGauge) else f"{name}: {clause(one)}" for one in against)


def overdue(day: str) -> str:
    """ "calibration overdue since 2026-02-01"."""
    return f"calibration overdue since {day}"


def failed_words(failed: LastCheck, permissible: Decimal | None) -> str:
    """ "out of service: failed its check, off by +6.10 %"; what is allowed, in percent, keeps that from being rounded
    across it."""
    return "out of service: failed its check" + (
        "" if failed.worst is None else f", off by {signed(failed.worst, permissible)}"
    )
