"""The head of a record: what it is of, how it ended, who was there, and the hashes that tie it down."""

from __future__ import annotations

from functools import reduce
from typing import assert_never

from clampbook.people import Person
from clampbook.record.frozen import Frozen
from clampbook.record.moments import at_its_place, local, typed
from clampbook.record.tables import Row
from clampbook.record.wording import named
from clampbook.run import events as e
from clampbook.run.events import (
    Abandoned,
    Closed,
    Decided,
    Event,
    HandedOver,
    Held,
    Inspected,
    Opened,
    Paused,
    Resumed,
    SignedOff,
)
from clampbook.run.fold.independence import Shares, did_not_sign, shared
from clampbook.run.questions.signing import assembler


def heading(run: Frozen, record: int, deviations: int, told: tuple[int | None, int]) -> Row:
    """The keys above all tables; `told` is the line at which record and walk differ, and how many steps are undone."""
    disagrees_at, undone = told
    plan, opened = run.plan, run.opened
    return {
        "record": record,
        "title": plan.title,
        "revision": plan.revision,
        "procedure_status": plan.status,
        "released": plan.released,
        "not_released": plan.not_released,
        "source": plan.source,
        "trial": plan.trial,
        "run": opened.run,
        "book": opened.book,
        "equipment": run.worked_on,
        "series": opened.series,
        "joint": plan.joint,
        "joints": [joint.name for joint in plan.joints] or None,
        "joints_left_out": list(plan.joints_left_out) or None,
        "joints_walked": plan.joints_walked,
        "follow_up": plan.follow_up,
        "of_run": opened.of_run.run if opened.of_run else None,
        "of_follow_up": opened.of_run.called_then if opened.of_run else None,
        "of_run_damaged": True if opened.of_run is not None and opened.of_run.damaged else None,
        **_left_open_before(opened),
        "opened_beside": list(opened.alongside) or None,
        "sheet_unit": plan.unit,
        "accept": "guarded" if plan.accept == "guarded" else None,
        "opened_at": local(opened),
        "closed_at": local(run.ended) if run.ended else None,
        **_typed_late(run),
        "clock": "handed in" if opened.clock == "handed in" else None,
        "outcome": outcome(run),
        "reason": run.ended.reason if run.ended else None,
        "disagrees_with_the_walk_at_line": disagrees_at,
        "steps_not_done": (undone or None) if run.ended is not None else None,
        "begun_despite_withdrawal": opened.despite,
        **_withdrawn(run),
        "deviations": deviations,
        "pulled_not_signed": _not_signed(run) or None,
        "lines": len(run.events),
        "last_line_sha256": run.last_line_sha256,
        "procedure_sha256": run.procedure_sha256,
        "plan_sha256": run.plan_sha256,
        "log_head": opened.log_head,
        "program": opened.version,
    }


def _left_open_before(opened: Opened) -> Row:
    """The positions that the paper form of the run that is followed up left open, by how it left them."""
    left = opened.of_run.left_open if opened.of_run is not None else {}
    return {f"of_run_left_{how}": list(positions) for how, positions in left.items()}


def _typed_late(run: Frozen) -> Row:
    """Tell when a run was typed in from a paper form, its first line and its last; nothing of one that was walked. Both
    have one offset: the clocks changed between lines of the form, and not while it was typed in."""
    if not run.plan.late:
        return {}
    first, last = run.events[0].typed_at, run.events[-1]
    return {
        "from_paper": True,
        "typed_from": None if first is None else at_its_place(last, first),
        "typed_to": typed(last),
        "form": run.opened.form,
    }


def _withdrawn(run: Frozen) -> Row:
    """Tell by whom, when and why the procedure was withdrawn while the run was open; nothing where it was not."""
    for event in run.events:
        if isinstance(event, e.ProcedureWithdrawn):
            return {
                **named(event.person, "withdrawn_by"),
                "withdrawn_on": event.withdrawn[:10],
                "withdrawn_because": event.because,
            }
    return {}


def _not_signed(run: Frozen) -> list[str]:
    """Names of those who pulled and did not sign that they did, where the procedure asks for it."""
    finished = isinstance(run.ended, Closed) and run.ended.outcome in ("done", "accepted")
    if assembler(run.plan) is None or not finished:
        return []
    names = {str(row["id"]): str(row["name"]) for row in people(run)}
    shares = reduce(shared, run.events, Shares())
    return [names.get(each, each) for each in did_not_sign(shares)]


def outcome(run: Frozen) -> str:
    """Tell how the run ended; one that has not is held where that was the last thing said, and else open."""
    if isinstance(run.ended, Closed):
        return run.ended.outcome
    if isinstance(run.ended, Abandoned):
        return "abandoned"
    last = next((event for event in reversed(run.events) if not isinstance(event, Paused)), run.opened)
    return "held" if isinstance(last, Held) else "open"


def people(run: Frozen) -> list[Row]:
    """Everybody who is named, in the order in which they first were; an id belongs to one person for ever."""
    found: dict[str, str] = {}
    for event in run.events:
        for person in _named(event):
            if person is not None:
                found.setdefault(person.id, person.name)
    return [{"id": id, "name": name} for id, name in found.items()]


def _named(event: Event) -> tuple[Person | None, ...]:
    if isinstance(event, Inspected):
        return (event.inspector,)
    if isinstance(event, e.Noted):
        return (event.initials,)
    if isinstance(event, e.OfTheWork | e.ToldAlone):
        return ()
    match event:
        case HandedOver():
            return (event.to, event.done_by_person)
        case e.PaperTime():
            return (event.done_by_person,)
        case Opened():
            return (event.person, event.done_by_person, *(event.also_done_by or ()))
        case Resumed():
            return (event.person, event.done_by_person)
        case Decided() | SignedOff() | e.SampleDrawn() | e.ProcedureWithdrawn():
            return (event.person,)
        case (
            e.Asked() | e.PartRecorded() | e.ToolTaken() | e.ToolZeroed() | e.ToolDropped() | e.ToolSuspected()
            | e.Voided() | e.Corrected() | e.Skipped() | e.Broken() | e.Paused() | e.StepState() | e.Held()
            | e.LeftBlank()
        ):  # fmt: skip
            return ()
        case _ as never:
            assert_never(never)
