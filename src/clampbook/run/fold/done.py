"""What was done in a line: its acts, from how the walk stood before it, the line, and how the walk stands after it."""

from __future__ import annotations

from typing import Any, assert_never

from clampbook.run import events as e
from clampbook.run import kinds
from clampbook.run.fold.acts import (
    BACKED_OFF,
    CONFIRMED,
    DEGREES,
    MARK_TO_MARK,
    MOVED,
    NOT_JUDGED,
    RELEASED,
    STILL,
    UNKNOWN,
    Act,
    Kind,
)
from clampbook.run.fold.frames import at_hand
from clampbook.run.fold.line import Line, over_all_the_same
from clampbook.run.fold.line import judged as judged_by
from clampbook.run.fold.pulls import OUT_OF_TURN
from clampbook.run.fold.rechecks import FIRST_MOVEMENT
from clampbook.run.plan import Plan
from clampbook.run.progress import Progress, standing

_PUT_RIGHT: dict[e.What, Kind] = {
    "reading": "pull",
    "run-down": "prevailing torque",
    "turn": "turn",
    "final torque": "final torque",
    "stretch": "stretch",
    "measure": "measurement",
    "recheck": "recheck",
}


def done(plan: Plan, before: Progress, event: e.Event, after: Progress) -> tuple[Act, ...]:
    """The acts of one line; none where nothing was done on the work itself."""
    line = Line(plan, before, event, after)
    if isinstance(event, kinds.Written):
        return kinds.of(event).acts(line, event)
    match event:
        case e.ReadingTaken() | e.Released() | e.Turned() | e.Rechecked():
            return (_pulled(line, event),)
        case e.Confirmed():
            return tuple(_confirmed(line, event))
        case e.Voided():
            return (_voided(line, event),)
        case e.Corrected():
            return () if event.step is None else (_corrected(line, event),)
        case e.BackedOff(step=step, by_degrees=by, pass_no=number):
            return (line.act("backing off", step, BACKED_OFF, angle=by, unit=DEGREES, pass_no=number),)
        case e.SetAside():
            return (line.act("set aside", event.step, "set aside", position=event.position),)
        case e.Broken():
            return (line.act("broken", event.step, event.how, position=event.position),)
        case e.StepState():
            lost = event.state == "mark lost" or (event.state == "begun, mark kept" and event.degrees is None)
            return (line.act("mark lost", event.step, UNKNOWN),) if lost else ()
        case e.Decided():
            return _decided(line, event)
        case (
            e.Opened() | e.Asked() | e.CautionsRead() | e.Prepared() | e.PartRecorded() | e.ToolTaken() | e.ToolSet()
            | e.ToolZeroed() | e.ToolDropped() | e.ToolDoubted() | e.ToolPassed() | e.ToolReturned()
            | e.ArrivedUnasked() | e.Noted() | e.Paused() | e.Resumed() | e.MapTurned() | e.HandedOver() | e.Held()
            | e.SignedOff() | e.Closed() | e.Abandoned() | e.ProcedureWithdrawn()
        ):  # fmt: skip
            return ()
        case _ as never:
            assert_never(never)


def _pulled(line: Line, event: e.ReadingTaken | e.Released | e.Turned | e.Rechecked) -> Act:
    """A pull, a click, a stroke or a measurement at its step."""
    unit = line.plan.unit
    match event:
        case e.Released():
            figures: dict[str, Any] = {"set_to": event.set_to, "unit": event.unit, "at_fastener": event.at_fastener}
            outcome = event.verdict or RELEASED
            judged: dict[str, Any] = {"window": event.window, "verdict": event.verdict}
            return line.act("click", event.step, outcome, tool=event.tool, **judged, **figures)
        case e.ReadingTaken():
            judged = judged_by(event.verdict, event.window, event.at_fastener, unit)
            read: dict[str, Any] = {"value": event.value, "unit": event.unit, "at_fastener": event.at_fastener}
            return line.act("pull", event.step, tool=event.tool, **read, **judged)
        case e.Turned():
            judged = judged_by(event.verdict, event.window, event.sum, DEGREES)
            if event.value is None and event.verdict == "within":
                judged["outcome"] = MARK_TO_MARK
            angle: dict[str, Any] = {"angle": event.value, "unit": None if event.value is None else DEGREES}
            return line.act("turn", event.step, tool=event.tool, **angle, **judged)
        case e.Rechecked():
            return _rechecked(line, event)
        case _ as never:
            assert_never(never)


def _rechecked(line: Line, event: e.Rechecked) -> Act:
    """A recheck: with a reading, or with the setting of the tool and whether it moved."""
    read = event.value is not None
    judged = judged_by(event.verdict, event.window, event.at_fastener if read else None, line.plan.unit)
    judged["outcome"] = _of_a_recheck(event, judged["verdict"])
    judged |= over_all_the_same(line, event)
    set_to, unit = (event.set_to, event.unit) if event.set_to is not None or read else line.setting(event.tool)
    return line.act(
        "recheck",
        event.step,
        tool=event.tool,
        method=event.method,
        pass_no=event.pass_no,
        mark=event.mark,
        value=event.value,
        set_to=None if read else set_to,
        unit=event.unit if read else unit,
        at_fastener=event.at_fastener,
        **judged,
    )


def _of_a_recheck(event: e.Rechecked, verdict: e.Verdict | None) -> str:
    """Over before moved, and moved before what was read; at first movement it must move, and the torque tells."""
    if event.moved and event.method != FIRST_MOVEMENT and verdict != "over":
        return MOVED
    return verdict or (NOT_JUDGED if event.moved else STILL)


def _confirmed(line: Line, event: e.Confirmed) -> list[Act]:
    """One for each position that the walk took as pulled by this line, and for no other between the two ends."""
    first, last = line.plan.index_of[event.first], line.plan.index_of[event.last]
    figures = {"set_to": event.set_to, "unit": event.unit, "at_fastener": event.at_fastener}
    return [
        line.act("confirmation", step.id, CONFIRMED, tool=event.tool, window=event.window, **figures)
        for index, step in enumerate(line.plan.steps[first : last + 1], start=first)
        if step.position is not None
        if (state := standing(line.after, step.position)).latest == event.seq and state.latest_step == index
    ]


def _voided(line: Line, event: e.Voided) -> Act:
    """A bad pull that was never stored, a pull on another position than asked; or a word about a pull before it."""
    kind: Kind = "wrong position" if event.cause in OUT_OF_TURN else "bad pull"
    turned = event.unit == DEGREES  # a torque may have been pulled where an angle is next, and the other way round
    read = event.sum or (event.at_fastener if event.value is not None else None)  # a click shows nothing
    told = judged_by(event.verdict, event.window, read, DEGREES if turned else line.plan.unit)
    lost = line.step(event.step).kind == "turn" or kind == "wrong position"
    told["outcome"] = "over" if event.verdict == "over" and kind == "wrong position" else UNKNOWN if lost else "void"
    if event.of is not None:
        return line.act(kind, event.step, about=event.of, why_not="void", **told)
    tool = event.tool or line.in_use(line.step(event.step))
    set_to, unit = (event.set_to, event.unit) if event.unit is not None else line.setting(tool)  # clicked or not
    return line.act(
        kind,
        event.step,
        tool=tool,
        value=None if turned else event.value,
        angle=event.value if turned else None,
        set_to=set_to,
        unit=unit,
        at_fastener=event.at_fastener,
        why_not="void",
        **told,
    )


def _corrected(line: Line, event: e.Corrected) -> Act:
    """A value put right; whose tool, setting and method it has is known once the act that it names is."""
    kind = _PUT_RIGHT.get(event.what, "bad pull")
    turned = event.sum is not None
    shown = event.sum if turned else event.at_fastener if kind in _AT_FASTENER else event.result
    unit = DEGREES if turned else line.plan.unit if kind in _AT_FASTENER else event.unit
    judged = judged_by(event.verdict, event.window, shown or event.value, unit)
    judged |= {"verdict": event.verdict, "outcome": event.verdict or NOT_JUDGED}  # by the window of what it corrects
    value = {"angle": event.value} if turned else {"value": event.value}
    there = event.at_fastener if kind in _AT_FASTENER or kind == "final torque" else None
    about: dict[str, Any] = {"about": event.of, "corrects": True}
    if not event.counts:
        judged |= {"verdict": None, "outcome": NOT_JUDGED}
        about |= {"why_not": "from memory alone"}
    if event.counts and event.what == "recheck":
        judged |= over_all_the_same(line, event)
    return line.act(kind, event.step or "", unit=event.unit, at_fastener=there, **value, **judged, **about)


_AT_FASTENER: tuple[Kind, ...] = ("pull", "prevailing torque", "recheck", "bad pull")


def _decided(line: Line, event: e.Decided) -> tuple[Act, ...]:
    """A decision, at each position that it is about."""
    here = event.step or line.plan.steps[min(at_hand(line.before), len(line.plan.steps) - 1)].id
    asked = next(
        (each for each in reversed(line.before.questions) if (each.about, each.cause) == (event.about, event.cause)),
        None,
    )
    named = asked.positions if asked is not None and asked.positions else (event.position,)
    more: dict[str, Any] = {"about": event.about or None, "method": event.cause, "work": event.step is None}
    return tuple(line.act("decision", here, event.choice, position=each, **more) for each in named)
