"""Answers about tools: take up, change, set, zero, drop, doubt, put back."""

from __future__ import annotations

from decimal import Decimal

from clampbook import text as foreign
from clampbook import units
from clampbook.ledger.stamp import Stamp
from clampbook.run import answers as a
from clampbook.run import events as e
from clampbook.run import prompts as ask
from clampbook.run.answers import Accepted, Refused
from clampbook.run.kinds.stamping import common
from clampbook.run.kinds.values import rounded
from clampbook.run.progress import in_hand
from clampbook.run.session import Session
from clampbook.run.taking import offers, wanted_at
from clampbook.run.told.torques import at_mark
from clampbook.run.tool_offers import another_serial
from clampbook.tools.model import Tool
from clampbook.tools.setting import scale
from clampbook.tools.state import unchecked
from clampbook.units import UnitFault

Outcome = Accepted | Refused


def take(session: Session, prompt: ask.Prompt, answer: a.TakeUp, stamp: Stamp) -> Outcome:
    """A tool is taken up, where one is asked for or instead of the one in hand."""
    wanted = wanted_at(prompt, session)
    if wanted is None:
        return Refused("No tool is needed here; take one when a pull is asked for.")
    demand, place = wanted
    told = _told_apart(session, answer)
    if told is None:
        return Refused(_not_told_apart(session, answer))
    asked, session = session, told
    offered = prompt.offers if isinstance(prompt, ask.TakeTool) and answer.same is None else offers(session, demand)
    for offer in offered:
        if answer.tool.casefold() in (offer.tool.id.casefold(), offer.tool.name.casefold()):
            break
    else:
        names = ", ".join(each.tool.name for each in offered if each.cannot is None) or "none in this book"
        return Refused(f"{foreign.printable(answer.tool)} is no tool for this step. There is: {names}.")
    way = offer.way(answer.adapter)
    if way is None:
        return Refused(f"{foreign.printable(answer.adapter or '')} is no adapter for {offer.tool.name} in this book.")
    if way.cannot is not None:
        return Refused(f"{way.cannot}.".replace("..", "."))
    if way.refused and not (answer.reason or "").strip():
        return Refused(f"{way.against} To take {offer.tool.name} all the same, give a reason.")
    reason = foreign.clean(answer.reason, what="the reason") if way.refused and answer.reason else None
    use = session.use(offer.tool.id)
    was = asked.use(offer.tool.id).serial_was
    another = session.another(offer.tool.id) or None
    return Accepted(
        e.ToolTaken(
            **common(session, stamp, prompt),
            tool=offer.tool,
            need=demand.need,
            step=place.id,
            unsuitable=way.refused,
            causes=way.causes if reason is not None else (),
            reason=reason,
            adapter=way.adapter,
            last_check=use.last_check,
            cycles=use.cycles if offer.tool.id in session.uses else None,
            troubles=unchecked(offer.tool, use.troubles),
            serial_was=was,
            same=answer.same if was is not None else None,
            another=another,
        )
    )


def _named(session: Session, name: str) -> Tool | None:
    return next((each for each in session.tools if name.casefold() in (each.id, each.name.casefold())), None)


def _told_apart(session: Session, answer: a.TakeUp) -> Session | None:
    """The session in which it is known whether this is the same tool; None where that is still to be said."""
    tool = _named(session, answer.tool)
    if tool is None or session.use(tool.id).serial_was is None:
        return session
    return None if answer.same is None else session.told_apart(tool.id, same=answer.same)


def _not_told_apart(session: Session, answer: a.TakeUp) -> str:
    tool = _named(session, answer.tool)
    was = None if tool is None else session.use(tool.id).serial_was
    assert tool is not None and was is not None, "asked only of such a tool"
    return another_serial(tool, was)


def scale_shows(session: Session, prompt: ask.SetTool, answer: a.Answer, stamp: Stamp) -> Outcome:
    """What the scale shows is typed back: another number or unit than what was to be set is refused."""
    if not isinstance(answer, a.ScaleShows):
        return Refused(f"Set {prompt.tool.name}, then type what its scale shows: the number, and its unit.")
    try:
        value = units.number(answer.number)
        unit = units.unit_named(answer.unit)
    except UnitFault as fault:
        return Refused(fault.sentence)
    if prompt.finished_before:
        wrong = _not_on_its_scale(prompt, value, unit)
        if wrong is not None:
            return Refused(wrong)
    elif value != prompt.aim.mark or unit != prompt.tool.unit:
        shown = f"{units.plain(value)} {unit}"
        wanted = at_mark(prompt.aim)
        return Refused(f"{prompt.tool.name} shows {shown}, but {wanted} is to be set. Set it, and type what it shows.")
    return Accepted(
        e.ToolSet(
            **common(session, stamp, prompt),
            tool=prompt.tool.id,
            step=prompt.where.id,
            typed=answer.number.strip(),
            value=units.plain(value),
            unit=unit,
            at_fastener=rounded(prompt.aim.there(value), prompt.window),
        )
    )


def _not_on_its_scale(prompt: ask.SetTool, value: Decimal, unit: str) -> str | None:
    """A sentence where the scale of the tool cannot show this, set or not."""
    tool = prompt.tool
    below = value <= 0 or (tool.minimum is not None and value < tool.minimum)
    if unit == tool.unit and not below and (tool.maximum is None or value <= tool.maximum):
        return None
    return f"{tool.name} cannot show {units.plain(value)} {unit}. Its scale is {scale(tool)}. Type what it shows."


def zero(session: Session, prompt: ask.ZeroTool, answer: a.Answer, stamp: Stamp) -> Outcome:
    """How the zero was found."""
    if not isinstance(answer, a.Zero):
        return Refused(f"Look at the zero of {prompt.tool.name} with no load: good, came back wrong, or unknown.")
    return Accepted(e.ToolZeroed(**common(session, stamp, prompt), tool=prompt.tool.id, state=answer.state))


def drop(session: Session, prompt: ask.Prompt, answer: a.Drop, stamp: Stamp) -> Outcome:
    """A tool fell."""
    if answer.tool not in session.progress.hand:
        return Refused(_none_such(session, answer.tool))
    going_on = foreign.clean(answer.going_on, what="the reason") if answer.going_on else None
    return Accepted(e.ToolDropped(**common(session, stamp, prompt), tool=answer.tool, going_on=going_on or None))


def doubt(session: Session, prompt: ask.Prompt, answer: a.DoubtTool, stamp: Stamp) -> Outcome:
    """A person suspects a tool: what is pulled with it from this line on is in question. What it showed before is not,
    whatever the person says of it, unless a check finds it off."""
    if answer.tool not in session.progress.hand:
        return Refused(_none_such(session, answer.tool))
    since = session.progress.seq + 1
    why = foreign.clean(answer.why, what="the reason")
    if not why:
        return Refused("Say why the tool is doubted.")
    return Accepted(e.ToolDoubted(**common(session, stamp, prompt), tool=answer.tool, why=why, since=since))


def _none_such(session: Session, tool: str) -> str:
    names = ", ".join(held.tool.name for held in in_hand(session.progress)) or "none"
    return f"{foreign.printable(tool)} is not in hand; in hand: {names}."


def put_back(session: Session, prompt: ask.ReturnTool, answer: a.Answer, stamp: Stamp) -> Outcome:
    """A tool is put back, wound down where it wants that."""
    if isinstance(answer, a.Plus) and not prompt.wind_down:
        answer = a.PutBack()
    if not isinstance(answer, a.PutBack):
        return Refused(f"Put {prompt.tool.name} back.")
    if prompt.wind_down and answer.wound_down is None:
        lowest = prompt.tool.wound_down_to or prompt.tool.minimum or Decimal(0)
        return Refused(
            f"Wind {prompt.tool.name} down to {units.show(lowest, prompt.tool.unit)}, and say whether it is."
        )
    wound = answer.wound_down if prompt.wind_down else None
    return Accepted(e.ToolReturned(**common(session, stamp, prompt), tool=prompt.tool.id, wound_down=wound))
