"""Answers about tools: take up, change, set, zero, drop, doubt, put back."""

from __future__ import annotations

from clampbook import text as foreign
from clampbook.ledger.stamp import Stamp
from clampbook.run import answers as a
from clampbook.run import events as e
from clampbook.run import prompts as ask
from clampbook.run.answers import Accepted, Refused
from clampbook.run.kinds.stamping import common
from clampbook.run.progress import in_hand
from clampbook.run.session import Session

Outcome = Accepted | Refused


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
