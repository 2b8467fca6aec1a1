"""The departures of a single line, its pulls aside, from the sheet: a kind in few words, and a sentence."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from typing import assert_never

from clampbook.record.frozen import Frozen
from clampbook.record.moments import lapse
from clampbook.record.pull import exact
from clampbook.run import events as e
from clampbook.run.events import (
    Broken,
    Event,
    HandedOver,
    Inspected,
    LookedBack,
    Resumed,
    SignedOff,
    Skipped,
    StepState,
    ToolDropped,
    ToolSuspected,
    ToolTaken,
    ToolZeroed,
    Waited,
)
from clampbook.run.fold.independence import FOR_OTHERS, LOOKED_BEFORE, SAME_PERSON, vouches
from clampbook.run.kinds.values import OFF_SCALE
from clampbook.run.session import BETWEEN_LINES


@dataclass(frozen=True, slots=True)
class Departure:
    """One way in which a line departs from the sheet."""

    kind: str
    what: str


NOTED_ONLY = ("the same as the reading before",)  # worth a note beside the reading, and no more
_LOOKED_LIKE = {
    "unit": "looked like another unit",
    "decimal place": "looked like another decimal point",
    "digits swapped": "looked like swapped digits",
    OFF_SCALE: "off its tool's scale",
}


def of_event(run: Frozen, event: Event) -> Iterator[Departure]:
    """Find what a line says of itself; pulls are looked at in `pull_departures`."""
    yield from _of_its_own(run, event)
    if event.late is not None:
        yield Departure("entered late", f"entered late: {event.late}")
    for noted in event.noted:
        if noted == LOOKED_BEFORE:
            yield Departure(noted, _looked_before(run, event))
        elif noted not in NOTED_ONLY:
            yield Departure(noted, noted)
    unusual: str | None = getattr(event, "unusual", None)
    if unusual is not None and unusual != BETWEEN_LINES:  # what was read between two lines departs from nothing
        yield Departure("unusual value", f"unusual value confirmed, {_LOOKED_LIKE.get(unusual, unusual)}")
    yield from _clock(run, event)


def _looked_before(run: Frozen, event: Event) -> str:
    """Tell where whoever works here vouched before as another person."""
    hands = {event.done_by or event.by, event.by}
    lines = [str(each.seq) for each in run.events[: event.seq - 1] if vouches(each) in hands]
    return f"vouched for this work in line {', '.join(lines)}, worked on it from here on"


def _of_its_own(run: Frozen, event: Event) -> Iterator[Departure]:
    """Find what a kind of line departs in by being there, or by what it found."""
    if isinstance(event, e.OfTheWork):
        yield from _of_the_work(run, event)
        return
    if isinstance(event, e.ToldAlone):
        return
    match event:
        case Skipped():
            yield Departure("skipped", f"skipped: {event.reason}")
        case Broken():
            reached = f", reached {event.reached}" if event.reached else ""
            yield Departure(event.how, f"{event.how}{reached}")
        case StepState():
            if event.state == "mark lost":
                yield Departure("mark lost", "mark lost during a turn, angle unknown")
        case ToolTaken() | ToolZeroed() | ToolDropped() | ToolSuspected():
            yield from _tool(event)
        case SignedOff():
            yield from _signed_off(event)
        case e.ProcedureWithdrawn():
            told = f"revision {event.revision} withdrawn by {event.person.name} on {event.withdrawn[:10]}"
            yield Departure("procedure withdrawn", f"{told}: {event.because}")
        case e.Opened(despite=str() as reason):
            yield Departure("procedure withdrawn", f"started though the procedure was withdrawn: {reason}")
        case Resumed():
            if event.clock == "implausible":
                yield Departure("clock implausible", "the clock had jumped when the run was resumed")
        case (
            e.Opened() | e.Asked() | e.PartRecorded() | e.Voided() | e.Corrected() | e.Decided() | e.Paused()
            | e.HandedOver() | e.Held()
        ):  # fmt: skip
            return
        case _ as never:
            assert_never(never)


def _of_the_work(run: Frozen, event: e.OfTheWork) -> Iterator[Departure]:
    """Find departures in what was seen, or waited; numbers depart by their verdict."""
    if isinstance(event, Inspected):
        yield from _inspected(event)
    elif isinstance(event, LookedBack) and not event.as_left:
        yield Departure("not as I left it", f"not as left{_when_looked_back(run, event)}")
    elif isinstance(event, Waited):
        yield from _waited(event)


def _when_looked_back(run: Frozen, event: LookedBack) -> str:
    """Tell what it was looked back for: a break, or a person who goes on with the work."""
    for before in reversed(run.events[: event.seq - 1]):
        if isinstance(before, HandedOver):
            return f" when {before.to.name} took over"
        if isinstance(before, Resumed):
            return " after a break"
    return ""


def _inspected(event: Inspected) -> Iterator[Departure]:
    if not event.as_expected:
        which = f" at {', '.join(event.positions)}" if event.positions else ""
        yield Departure("not as expected", f"not as expected{which}: {event.answer}")
    if event.meaning == SAME_PERSON:
        yield Departure("inspected by the same person", f"inspected by the same person: {event.reason}")


def _signed_off(event: SignedOff) -> Iterator[Departure]:
    if event.meaning == SAME_PERSON:
        told = f"{event.person.name} did the work and signed as {event.role}: {event.reason}"
        yield Departure("inspected by the same person", told)
    if event.meaning == FOR_OTHERS:
        told = f"{event.person.name} did not pull and signed as {event.role}: {event.reason}"
        yield Departure("signed for others", told)


def _waited(event: Waited) -> Iterator[Departure]:
    passed = lapse(event.since, event.at)
    if passed is not None and passed < exact(event.lasts, event.seq):
        yield Departure("wait cut short", f"wait cut short: {passed.normalize():f} s of {event.lasts} s")


def _tool(event: ToolTaken | ToolZeroed | ToolDropped | ToolSuspected) -> Iterator[Departure]:
    match event:
        case ToolTaken():
            if event.unsuitable or event.reason is not None:
                yield Departure("unsuitable tool", _used_with_a_reason(event))
        case ToolZeroed():
            if event.state == "wrong":
                yield Departure("zero wrong", f"{event.tool} did not read zero")
            elif event.state == "unknown":
                yield Departure("zero unknown", f"{event.tool}: zero not known")
        case ToolDropped():
            then = f"used again: {event.going_on}" if event.going_on is not None else "not used again"
            yield Departure("tool dropped", f"{event.tool} dropped, {then}")
        case ToolSuspected():
            yield Departure("tool suspected", f"{event.tool} suspect since line {event.since}: {event.why}")
        case _ as never:
            assert_never(never)


def _used_with_a_reason(event: ToolTaken) -> str:
    """Tell what spoke against a tool, which begins with its name, and the reason to use it."""
    against = "; ".join(event.unsuitable).replace(f"{event.tool.name}: ", "") or "it does not suit"
    return f"{event.tool.name} used with a reason ({event.reason}): {against}"


def _clock(run: Frozen, event: Event) -> Iterator[Departure]:
    """Lines follow each other; a time before that of the line before shows a clock that was set back."""
    if event.seq < 2:
        return
    passed = lapse(run.events[event.seq - 2].at, event.at)
    if passed is not None and passed < 0:
        back = Decimal(-passed).normalize()
        yield Departure("clock set back", f"clock set back by {back:f} s")
