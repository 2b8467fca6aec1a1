"""The interruptions: breaks and what was found after them, waits, looks, and notes."""

from __future__ import annotations

from typing import assert_never

from clampbook.procedure.model import Align, Inspect, Wait
from clampbook.record.frozen import Frozen
from clampbook.record.history import History
from clampbook.record.moments import at_its_place, lapse
from clampbook.record.paper_times import times_on_form
from clampbook.record.tables import Row
from clampbook.record.wording import at_stage, at_step, named, vouched, written
from clampbook.run import events as e
from clampbook.run.events import (
    ArrivedUnasked,
    Decided,
    Event,
    HandedOver,
    Held,
    Inspected,
    LookedBack,
    MapTurned,
    Noted,
    Paused,
    Resumed,
    StepState,
    WaitBegun,
    Waited,
)


def interruptions(run: Frozen) -> list[Row]:
    """Breaks, hand-overs, and what was found when the work went on."""
    return [
        {"line": event.seq, **found, **written(event)}
        for event in run.events
        if (found := _interruption(run, event)) is not None
    ]


def _interruption(run: Frozen, event: Event) -> Row | None:
    if isinstance(event, LookedBack):
        found = "as left" if event.as_left else "not as left"
        return {"what": "looked back", "position": event.position, "found": found}
    if isinstance(event, e.OfTheWork | e.ToldAlone):
        return None
    match event:
        case Paused() | Resumed(torn_bytes=0) if run.plan.late:  # typing stopped, the work of then did not
            return None
        case Paused():
            return {"what": "paused", "cause": event.cause}
        case Resumed():
            return {
                "what": "resumed",
                "gap_seconds": event.gap,
                "clock": event.clock,
                "torn_bytes": event.torn_bytes or None,
                **named(event.person),
                **named(event.done_by_person, "done_by_person"),
            }
        case Held():
            return {"what": "held", "cause": event.cause, "reason": event.reason, "about_line": event.about}
        case HandedOver():
            return {"what": "handed over", **named(event.to, "to"), **named(event.done_by_person, "done_by_person")}
        case StepState():
            return {"what": "step state", **at_step(run.plan, run.step(event, event.step)), "state": event.state}
        case (
            e.Opened() | e.Asked() | e.PartRecorded() | e.ToolTaken() | e.ToolZeroed() | e.ToolDropped()
            | e.ToolSuspected() | e.Voided() | e.Corrected() | e.Skipped() | e.Broken() | e.Decided()
            | e.SampleDrawn() | e.SignedOff() | e.ProcedureWithdrawn() | e.LeftBlank() | e.PaperTime()
        ):  # fmt: skip
            return None
        case _ as never:
            assert_never(never)


def waits(run: Frozen) -> list[Row]:
    """Each wait that came to its end, and each that was cut short."""
    begun: dict[str, str] = {}
    found: list[Row] = []
    for event in run.events:
        if isinstance(event, WaitBegun):
            if not event.blank:
                begun[event.step] = event.at
        elif isinstance(event, Waited):
            passed = lapse(event.since, event.at)
            ended: Row = {
                "ended": "waited",
                "since": event.since,
                "lasts_seconds": event.lasts,
                "passed_seconds": None if passed is None else format(passed.normalize(), "f"),
            }
            own: Row = {"counted_from": None} if event.step in begun else {}  # a beginning of its own
            found.append({"line": event.seq, **_wait(run, event, event.step), **own, **ended, **written(event)})
        elif isinstance(event, Decided) and event.choice == "go on early" and event.step is not None:
            short: Row = {"ended": "cut short", "since": begun.get(event.step), "reason": event.reason}
            found.append({"line": event.seq, **_wait(run, event, event.step), **short, **written(event)})
    return found


def _wait(run: Frozen, event: Event, name: str) -> Row:
    step = run.step(event, name)
    stage = run.plan.stage_of(step)
    if not isinstance(stage, Wait):
        return at_step(run.plan, step)
    return {**at_step(run.plan, step), "as_written": stage.as_written, "counted_from": stage.since}


def samples(run: Frozen, history: History) -> list[Row]:
    """Each sample: who drew it with which number, what came of it, and what was added after a failure."""
    found: list[Row] = []
    for event in run.events:
        if not isinstance(event, e.SampleDrawn):
            continue
        drawn = history.progress.samples[event.stage]
        found.append(
            {
                "line": event.seq,
                **at_stage(run.plan, event.stage),
                "of": len(drawn.order),
                **named(event.person, "inspector"),
                "independent": "yes" if event.independent else "no",
                "reason": event.reason,
                "number": event.number,
                "hash_before": event.prev,
                "drawn": list(event.sample),
                "added": list(drawn.order[len(event.sample) : drawn.size]),
                **written(event),
            }
        )
    return found


def inspections(run: Frozen) -> list[Row]:
    """Each look and its answer; at a hold point with the person who looked and what the name stands for."""
    on_form = times_on_form(run)
    looks = (event for event in run.events if isinstance(event, Inspected))
    return [_inspection(run, event, on_form.get(event.seq, {})) for event in looks]


def _inspection(run: Frozen, event: Inspected, on_form: Row) -> Row:
    step = run.step(event, event.step)
    stage = run.plan.stage_of(step)
    asked = stage.ask if isinstance(stage, Inspect) and event.work is None else None
    return {
        "line": event.seq,
        **at_step(run.plan, run.plan.at_position(step, event.position), event.position),
        "asked": asked,
        "lock": stage.lock if isinstance(stage, Align) and event.work is None else None,
        "work": event.work,
        "answer": event.answer,
        "as_expected": event.as_expected,
        "not_as_expected_at": list(event.positions),
        "hold_point": True if isinstance(stage, Inspect) and stage.hold_point and event.work is None else None,
        **named(event.inspector, "inspector"),
        "meaning": event.meaning,
        **vouched(event.inspector, event.key, on_form=run.plan.late),
        "reason": event.reason,
        **written(event),
        **on_form,
    }


def scans(run: Frozen) -> list[Row]:
    """Each scan of the paper form, as it was put into the folder."""
    return [
        {
            "line": event.seq,
            "file": event.name,
            "kind": event.kind,
            "bytes": event.size,
            "sha256": event.sha256,
            **written(event),
        }
        for event in run.events
        if isinstance(event, e.ScanAdded)
    ]


def notes(run: Frozen) -> list[Row]:
    """Notes, lines that a tool typed unasked, from where the picture was looked at, and what was typed wrong."""
    found = [_typed_wrong(event) for event in run.typed_wrong]
    for event in run.events:
        row: Row | None = None
        if isinstance(event, Noted):
            row = {"note": event.text, "step": event.step, "about_line": event.about, **_on_a_form(event)}
        elif isinstance(event, ArrivedUnasked):
            row = {"arrived_unasked": event.text, "step": event.step, "belongs_to": event.belongs_to or "none"}
        elif isinstance(event, MapTurned):
            row = {"map_turned_degrees": 90 * event.quarters, "from_below": True if event.from_below else None}
        if row is not None:
            found.append({"line": event.seq, **row, **written(event)})
    return sorted(found, key=_line_of)


def _on_a_form(event: Noted) -> Row:
    """Tell of a row of a form the time beside it, its position and its initials; nothing of any other note."""
    if event.stands is None:
        return {}
    at = at_its_place(event, event.stands)
    return {"time_on_form": at, "position": event.position, **named(event.initials, "initials")}


def _typed_wrong(event: Event) -> Row:
    """Tell of a line that was typed wrong from a paper form; whoever it named did nothing of it."""
    told = {"typed_wrong": e.kind_of(event), "typed": getattr(event, "typed", None)}
    place = {"step": getattr(event, "step", None), "item": getattr(event, "item", None)}
    return {"line": event.seq, **told, **place, **written(event), "done_by": None}


def _line_of(row: Row) -> int:
    line = row["line"]
    assert isinstance(line, int)
    return line
