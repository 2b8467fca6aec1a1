"""What was stored, in words: said after each answer, and large on a screen until the next one."""

from __future__ import annotations

from decimal import Decimal
from typing import assert_never

from clampbook.figures import show_exactly
from clampbook.people import Person
from clampbook.run import events as e
from clampbook.run import kinds, questions
from clampbook.run.fold.tools import name_of
from clampbook.run.independence import LOOKED_BEFORE
from clampbook.run.marks import marked
from clampbook.run.places import position_of
from clampbook.run.plan import Plan
from clampbook.run.told.torques import with_bolt
from clampbook.text import started
from clampbook.tools.model import Tool
from clampbook.units import show

Around = (
    e.Opened
    | e.ArrivedUnasked
    | e.Noted
    | e.Paused
    | e.Resumed
    | e.MapTurned
    | e.ProcedureWithdrawn
    | e.HandedOver
    | e.Held
    | e.Abandoned
)


def stored(event: e.Event, plan: Plan, tools: tuple[Tool, ...] = ()) -> str:
    """One sentence for a line of the daybook, the outcome first, as a word with its mark.

    `tools` gives the names that stand on the tools; one that is not among them is called by its id.
    """
    told = _stored(event, plan, tools)
    return f"{told} {_WORKED}" if LOOKED_BEFORE in event.noted else told


_WORKED = "You vouched for this run as another person before: the record says that you worked on it since."


def _stored(event: e.Event, plan: Plan, tools: tuple[Tool, ...]) -> str:
    if isinstance(event, kinds.Written):
        return kinds.of(event).tell(event, plan, tools)
    if isinstance(event, questions.Written):
        return questions.of(event).tell(event, plan, tools)
    match event:
        case e.Voided() | e.Corrected() | e.SetAside() | e.Broken():
            return _else(event, plan)
        case e.ToolDropped() | e.ToolDoubted() | e.ToolPassed():
            return _tool(event, tools)
        case (
            e.Opened()
            | e.ArrivedUnasked()
            | e.Noted()
            | e.Paused()
            | e.Resumed()
            | e.MapTurned()
            | e.ProcedureWithdrawn()
            | e.HandedOver()
            | e.Held()
            | e.Abandoned()
        ):
            return _around(event)
        case _ as never:
            assert_never(never)


def _else(event: e.Voided | e.Corrected | e.SetAside | e.Broken, plan: Plan) -> str:
    match event:
        case e.Voided(step=step, cause=cause):
            judged = f", {marked(event.verdict)}" if event.verdict == "over" else ""
            return f"{started(marked('void'))}: {position_of(step, plan)}, {cause}{_told(event, plan)}{judged}."
        case e.Corrected(step=step, value=value, unit=unit, counts=False):
            shown = show_exactly(Decimal(value), unit) if unit is not None else value
            here = f"{started(marked('over'))}: {position_of(step, plan)} stays over"
            return f"{here}. {shown} from memory alone does not count: ask a second person who saw it."
        case e.Corrected():
            return _corrected(event, plan)
        case e.SetAside(position=position, reason=reason):
            return f"{started(marked('set aside'))}: position {position}, {reason}."
        case e.Broken(position=position, how=how, reached=reached):
            at = f", {reached} reached" if reached else ""
            return f"{started(how)} !: position {position}{at}."
        case _ as never:
            assert_never(never)


def _told(event: e.Voided, plan: Plan) -> str:
    """What its tool told of a pull that does not count: a click is none of its readings."""
    if event.unit is None:
        return ""
    there = event.at_fastener
    if event.set_to is not None:
        return f", clicked at setting {with_bolt(event.set_to, event.unit, there or event.set_to, None, plan)}"
    if event.value is None or there is None:
        return f", {event.value} {event.unit}".replace(" °", "°")
    return f", {with_bolt(event.value, event.unit, there, event.window, plan)}"


def _corrected(event: e.Corrected, plan: Plan) -> str:
    """Bolt or question, what it is now, and how that is judged."""
    if event.step is None:
        item = (event.item or "").partition(":")[2] or event.item or "the answer"
        return f"Corrected: {item}, now {event.value}{f' {event.unit}' if event.unit else ''}."
    shown = f"{event.value} {event.unit or ''}".strip().replace(" °", "°")
    if event.at_fastener is not None and event.unit is not None:
        shown = with_bolt(event.value, event.unit, event.at_fastener, event.window, plan)
    judged = f", {marked(event.verdict)}" if event.verdict is not None else ""
    return f"Corrected: {position_of(event.step, plan)}, now {shown}{judged}."


def _tool(
    event: e.ToolDropped | e.ToolDoubted | e.ToolPassed,
    tools: tuple[Tool, ...],
) -> str:
    name = name_of(event.tool, tools)
    match event:
        case e.ToolDropped(going_on=going_on):
            if going_on:
                return f"{name} dropped, and used on: {going_on}. Its pulls from here on are in question."
            return f"{name} dropped: use it again only with a reason, until it passes a check."
        case e.ToolDoubted(trouble=trouble) if trouble is not None:
            return f"{name}, {trouble.says}: use it again only with a reason, until it passes a check."
        case e.ToolDoubted(since=since, why=why, check=check, withdrawn=out):
            if check is None:
                return f"{name} suspect: use it again only with a reason, until it passes a check."
            told = f"? {name}: {why}. All that it showed since line {since} is in question."
            return f"{told} Take another tool." if out else told
        case e.ToolPassed():
            return f"Passed ●: {name}. Its pulls from here on are not in question."
        case _ as never:
            assert_never(never)


def _vouched(people: tuple[Person, ...]) -> str:
    """What whoever vouched as another person is told before they lay hands on the work."""
    told = "vouched for this run as another person. Whoever pulls now is no other person: the record will say so."
    return "".join(f" {one.name} {told}" for one in people)


def _around(event: Around) -> str:
    match event:
        case e.Opened(run=run, person=person):
            return f"Run {run} opened by {person.name}."
        case e.ArrivedUnasked(text=text, belongs_to=position):
            return f"Kept: {text}, {f'for position {position}' if position else 'for no position'}."
        case e.Noted():
            return "Noted."
        case e.Paused():
            return "Paused."
        case e.Resumed(person=person):
            return f"Taken up again{f' by {person.name}' if person is not None else ''}.{_vouched(event.looked)}"
        case e.MapTurned(quarters=quarters, from_below=below):
            turned = "as it is drawn" if not quarters else f"turned by {show(Decimal(90 * quarters), '°')} clockwise"
            return f"The map stands {turned}{', seen from below' if below else ''}."
        case e.ProcedureWithdrawn(revision=revision, person=person, withdrawn=at, because=because):
            told = f"{person.name} withdrew revision {revision} of this procedure on {at[:10]}: {because}"
            return f"{told}. Ask before you go on."
        case e.HandedOver(to=to, hands=hands):
            with_hands = f", the work done by {hands.name}" if hands is not None else ""
            return f"Handed over to {to.name}{with_hands}.{_vouched(event.looked)}"
        case e.Held(reason=reason):
            return f"On hold: {reason}."
        case e.Abandoned(reason=reason):
            return f"Given up: {reason}."
        case _ as never:
            assert_never(never)
