"""What was done in a line: its acts, from how the walk stood before it, the line, and how the walk stands after it."""

from __future__ import annotations

from typing import Any, assert_never

from clampbook.run import events as e
from clampbook.run import kinds, questions
from clampbook.run.fold.acts import (
    DEGREES,
    NOT_JUDGED,
    UNKNOWN,
    Act,
    Kind,
)
from clampbook.run.fold.line import Line, over_all_the_same
from clampbook.run.fold.line import judged as judged_by
from clampbook.run.fold.pulls import OUT_OF_TURN
from clampbook.run.plan import Plan
from clampbook.run.progress import Progress

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
    if isinstance(event, questions.Written):
        return questions.of(event).acts(line, event)
    match event:
        case e.Voided():
            return (_voided(line, event),)
        case e.Corrected():
            return () if event.step is None else (_corrected(line, event),)
        case e.SetAside():
            return (line.act("set aside", event.step, "set aside", position=event.position),)
        case e.Broken():
            return (line.act("broken", event.step, event.how, position=event.position),)
        case (
            e.Opened() | e.ToolDropped() | e.ToolDoubted() | e.ToolPassed() | e.ArrivedUnasked() | e.Noted()
            | e.Paused() | e.Resumed() | e.MapTurned() | e.HandedOver() | e.Held() | e.Abandoned()
            | e.ProcedureWithdrawn()
        ):  # fmt: skip
            return ()
        case _ as never:
            assert_never(never)


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
