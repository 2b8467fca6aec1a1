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
    "unit": "another unit",
    "decimal place": "a decimal point elsewhere",
    "digits swapped": "two digits exchanged",
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
        looked_like = _LOOKED_LIKE.get(unusual, unusual)
        why = "off the scale of its tool" if unusual == OFF_SCALE else f"looked like {looked_like}"
        yield Departure("unusual value", f"{why}, and was typed again with its unit")
    yield from _clock(run, event)


def _looked_before(run: Frozen, event: Event) -> str:
    """Tell where whoever works here vouched before as another person."""
    hands = {event.done_by or event.by, event.by}
    lines = [str(each.seq) for each in run.events[: event.seq - 1] if vouches(each) in hands]
    return f"whoever vouched as another person in line {', '.join(lines)} worked on it from here on"


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
                told = "a turn was begun and its mark was lost: how far it was turned is unknown"
                yield Departure("mark lost", told)
        case ToolTaken() | ToolZeroed() | ToolDropped() | ToolSuspected():
            yield from _tool(event)
        case SignedOff():
            yield from _signed_off(event)
        case e.ProcedureWithdrawn():
            told = f"revision {event.revision} was withdrawn by {event.person.name} on {event.withdrawn[:10]}"
            yield Departure("procedure withdrawn", f"{told}: {event.because}")
        case e.Opened(despite=str() as reason):
            yield Departure("procedure withdrawn", f"begun though the procedure was withdrawn: {reason}")
        case Resumed():
            if event.clock == "implausible":
                yield Departure("clock implausible", "the clock had jumped when the run was taken up again")
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
        yield Departure("not as I left it", f"{_when_looked_back(run, event)}it was not as it had been left")
    elif isinstance(event, Waited):
        yield from _waited(event)


def _when_looked_back(run: Frozen, event: LookedBack) -> str:
    """Tell what it was looked back for: a break, or a person who goes on with the work."""
    for before in reversed(run.events[: event.seq - 1]):
        if isinstance(before, HandedOver):
            return f"when {before.to.name} went on, "
        if isinstance(before, Resumed):
            return "after a break "
    return ""


def _inspected(event: Inspected) -> Iterator[Departure]:
    if not event.as_expected:
        which = f" at {', '.join(event.positions)}" if event.positions else ""
        yield Departure("not as expected", f"looked at and not as expected{which}: {event.answer}")
    if event.meaning == SAME_PERSON:
        yield Departure("inspected by the same person", f"inspected by the person who did the work: {event.reason}")


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
        yield Departure("wait cut short", f"waited {passed.normalize():f} s of {event.lasts} s")


def _tool(event: ToolTaken | ToolZeroed | ToolDropped | ToolSuspected) -> Iterator[Departure]:
    match event:
        case ToolTaken():
            if event.unsuitable or event.reason is not None:
                why = "; ".join(event.unsuitable) or "it does not suit"
                yield Departure(
                    "unsuitable tool", f"{event.tool.name} was taken all the same: {why} (reason: {event.reason})"
                )
        case ToolZeroed():
            if event.state == "wrong":
                yield Departure("zero wrong", f"zero of {event.tool} was wrong")
            elif event.state == "unknown":
                yield Departure("zero unknown", f"zero of {event.tool} was not known")
        case ToolDropped():
            then = f"gone on with: {event.going_on}" if event.going_on is not None else "out until it is checked"
            yield Departure("tool dropped", f"{event.tool} was dropped, {then}")
        case ToolSuspected():
            yield Departure("tool suspected", f"{event.tool} is suspect since line {event.since}: {event.why}")
        case _ as never:
            assert_never(never)


def _clock(run: Frozen, event: Event) -> Iterator[Departure]:
    """Lines follow each other; a time before that of the line before shows a clock that was set back."""
    if event.seq < 2:
        return
    passed = lapse(run.events[event.seq - 2].at, event.at)
    if passed is not None and passed < 0:
        back = Decimal(-passed).normalize()
        yield Departure("clock set back", f"the clock stood {back:f} s before the line before")
