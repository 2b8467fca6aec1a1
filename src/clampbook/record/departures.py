"""The departures of a single line, its pulls aside, from the procedure: a kind, and the facts of it as keys."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import assert_never

import msgspec

from clampbook.procedure.model import Inspect, sample_of
from clampbook.record.frozen import Frozen
from clampbook.record.in_question import suspicion
from clampbook.record.moments import at_its_place, lapse
from clampbook.record.pull import exact
from clampbook.record.tables import Row
from clampbook.record.wording import named
from clampbook.run import events as e
from clampbook.run.events import (
    Broken,
    Event,
    HandedOver,
    Inspected,
    LookedBack,
    Rechecked,
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
from clampbook.run.fold.departing import NOT_ALL_TICKED, NOTED_ONLY, unusual
from clampbook.run.fold.independence import CONCESSION, FOR_OTHERS, LOOKED_BEFORE, SAME_PERSON, vouches
from clampbook.run.gather.asking import ON_FORM
from clampbook.run.in_hand.on_paper import NOT_ON_FORM
from clampbook.run.questions.items import start_items


@dataclass(frozen=True, slots=True)
class Departure:
    """One way in which a line departs from the procedure. The words for it are chosen where it is shown."""

    kind: str
    facts: Row = field(default_factory=dict)

    @property
    def row(self) -> Row:
        """The same as the record holds it."""
        return {"kind": self.kind, **self.facts}


def of_event(run: Frozen, event: Event) -> Iterator[Departure]:
    """Find what a line says of itself; pulls are looked at in `pull_departures`."""
    yield from _of_its_own(run, event)
    if event.late is not None:
        yield Departure("entered late", {"late": event.late})
    for noted in event.noted:
        if noted == LOOKED_BEFORE:
            yield Departure(noted, {"vouched_at_lines": _vouched_at(run, event)})
        elif noted == NOT_ALL_TICKED:
            yield Departure(noted, {"not_ticked": _not_ticked(run, event)})
        elif noted not in NOTED_ONLY:
            yield Departure(noted)
    if (looked_like := unusual(event)) is not None and not was_typed_wrong(run, event.seq):
        yield Departure("unusual value", {"looked_like": looked_like})
    yield from _clock(run, event)


def was_typed_wrong(run: Frozen, line: int) -> bool:
    """True where the value of a line never stood on the paper form: it was typed wrong from there, and put right."""
    if not run.plan.late:
        return False
    after = (each for each in run.events[line:] if isinstance(each, e.Corrected) and each.of == line)
    return any(each.known == ON_FORM for each in after)


def _not_ticked(run: Frozen, event: Event) -> list[str]:
    """The lines of a block that are not ticked on the form."""
    item = next(each for each in start_items(run.plan) if each.item == getattr(event, "item", None))
    ticked = getattr(event, "prepared", getattr(event, "cautions", ()))
    return [line for line in item.lines if line not in ticked]


def _vouched_at(run: Frozen, event: Event) -> list[int]:
    """The lines in which whoever works here vouched before as another person."""
    hands = {event.done_by or event.by, event.by}
    return [each.seq for each in run.events[: event.seq - 1] if vouches(each) in hands]


def _of_its_own(run: Frozen, event: Event) -> Iterator[Departure]:
    """Find what a kind of line departs in by being there, or by what it found."""
    if isinstance(event, e.OfTheWork):
        yield from _of_the_work(run, event)
        return
    if isinstance(event, e.ToldAlone):
        return
    match event:
        case Skipped():
            yield Departure("skipped", {"reason": event.reason})
        case Broken():
            yield Departure(event.how, {"reached": event.reached})
        case StepState():
            if event.state == "mark lost":
                yield Departure("mark lost")
        case ToolTaken() | ToolZeroed() | ToolDropped() | ToolSuspected():
            yield from _tool(event)
        case SignedOff():
            if event.meaning == SAME_PERSON:
                yield Departure("inspected by the same person", _signed_off(event))
            if event.meaning == FOR_OTHERS:
                yield Departure("signed for others", _signed_off(event))
        case e.LeftBlank():
            yield from _left_blank(run, event)
        case e.PaperTime(stands=str() as stands):
            yield Departure("time out of order", {"stands": at_its_place(event, stands)})
        case e.SampleDrawn():
            if not event.independent:
                yield Departure("drawn by the same person", {"reason": event.reason})
        case e.ProcedureWithdrawn():
            day, reason = event.withdrawn[:10], event.because
            facts = {"revision": event.revision, **named(event.person), "on": day, "reason": reason}
            yield Departure("procedure withdrawn", facts)
        case e.Opened(despite=str() as reason):
            yield Departure("started though withdrawn", {"reason": reason})
        case Resumed():
            if event.clock == "implausible":
                yield Departure("clock implausible")
        case e.Decided():
            if run.plan.late and event.choice == CONCESSION and event.person is None:
                yield Departure("not on the form", {"what": "name"})
        case (
            e.Opened() | e.Asked() | e.PartRecorded() | e.Voided() | e.Corrected() | e.Paused()
            | e.HandedOver() | e.Held() | e.PaperTime()
        ):  # fmt: skip
            return
        case _ as never:
            assert_never(never)


def _left_blank(run: Frozen, event: e.LeftBlank) -> Iterator[Departure]:
    """Find what is missing on a form; that a reading was left under is told by that reading."""
    if event.what != "further reading" and not _outside_its_sample(run, event):
        item, tool = event.item, event.tool if event.what == "setting" else None
        ticked = True if event.ticked else None
        yield Departure("not on the form", {"what": event.what, "item": item, "tool": tool, "ticked": ticked})


def _outside_its_sample(run: Frozen, event: e.LeftBlank) -> bool:
    """True where enough others were looked at: of a sample a form has no row for the rest."""
    sample = None if event.step is None else sample_of(run.plan.stage_of(run.step(event, event.step)))
    if sample is None or event.step is None or event.what != "step":
        return False
    stage = run.step(event, event.step).stage
    positions = sum(step.stage == stage and step.position is not None for step in run.plan.steps)
    named = (each for each in run.events if isinstance(each, Rechecked | Inspected | e.Measured))
    steps = (run.step(each, each.step) for each in named)
    return len({step.position for step in steps if step.stage == stage}) >= sample.of(positions)


def _of_the_work(run: Frozen, event: e.OfTheWork) -> Iterator[Departure]:
    """Find departures in what was seen, or waited; numbers depart by their verdict."""
    if isinstance(event, Inspected):
        yield from _inspected(run, event)
    elif isinstance(event, LookedBack) and not event.as_left:
        yield Departure("not as I left it", _looked_back_after(run, event))
    elif isinstance(event, Waited):
        passed = lapse(event.since, event.at)
        if passed is not None and passed < exact(event.lasts, event.seq):
            facts: Row = {"passed_seconds": f"{passed.normalize():f}", "lasts_seconds": event.lasts}
            yield Departure("wait cut short", facts)


def _looked_back_after(run: Frozen, event: LookedBack) -> Row:
    """Tell what it was looked back for: a break, or a person who took over."""
    for before in reversed(run.events[: event.seq - 1]):
        if isinstance(before, HandedOver):
            return {"after": "hand-over", **named(before.to)}
        if isinstance(before, Resumed):
            return {"after": "break"}
    return {}


def _inspected(run: Frozen, event: Inspected) -> Iterator[Departure]:
    stage = run.plan.stage_of(run.step(event, event.step))
    if run.plan.late and isinstance(stage, Inspect) and stage.hold_point and event.inspector is None:
        yield Departure("not on the form", {"what": "name"})
    if not event.as_expected:
        yield Departure("not as expected", {"positions": list(event.positions), "answer": event.answer})
    if event.meaning == SAME_PERSON:
        yield Departure("inspected by the same person", {"reason": event.reason})


def _signed_off(event: SignedOff) -> Row:
    return {**named(event.person), "role": event.role, "reason": event.reason}


def against(event: ToolTaken) -> list[Row]:
    """Give what a tool was taken in spite of, as the daybook has it."""
    found: list[Row] = msgspec.to_builtins(event.against)
    return found


def _tool(event: ToolTaken | ToolZeroed | ToolDropped | ToolSuspected) -> Iterator[Departure]:
    match event:
        case ToolTaken():
            if event.tool.id == NOT_ON_FORM.id:
                yield Departure("not on the form", {"what": "tool"})
            if event.adapter_blank:
                yield Departure("not on the form", {"what": "adapter", "tool": event.tool.id})
            if event.against or event.reason is not None:
                facts: Row = {"tool": event.tool.id, "reason": event.reason, "against": against(event)}
                yield Departure("unsuitable tool", facts)
        case ToolZeroed():
            if event.state != "good" and not (event.after and event.state == "not written"):  # no step asks for it
                yield Departure(f"zero {event.state}", {"tool": event.tool})
        case ToolDropped():
            used_again = event.going_on is not None
            yield Departure("tool dropped", {"tool": event.tool, "used_again": used_again, "reason": event.going_on})
        case ToolSuspected():
            yield Departure("tool suspected", {"tool": event.tool, **suspicion(event)})
        case _ as never:
            assert_never(never)


def _clock(run: Frozen, event: Event) -> Iterator[Departure]:
    """Lines follow each other; a time before that of the line before shows a clock that was set back."""
    if event.seq < 2:
        return
    passed = lapse(run.events[event.seq - 2].at, event.at)
    if passed is not None and passed < 0:
        yield Departure("clock set back", {"seconds": f"{(-passed).normalize():f}"})
