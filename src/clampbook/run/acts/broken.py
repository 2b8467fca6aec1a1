"""A fastener is lost: it broke, stripped, never reaches its torque, or is the wrong part."""

from __future__ import annotations

from decimal import Decimal
from typing import TypedDict

from msgspec.structs import replace

from clampbook import units
from clampbook.ledger.stamp import Stamp
from clampbook.run import events as e
from clampbook.run.acts.at_hand import NOT_KNOWN, pull_at
from clampbook.run.acts.off_scale import typed_again
from clampbook.run.answers import Accepted, Broke, Refused
from clampbook.run.asked import where_of
from clampbook.run.fold.acts import Act
from clampbook.run.fold.fastener import broke, pulled
from clampbook.run.fold.frames import ask as ask_about
from clampbook.run.fold.line import Line
from clampbook.run.fold.pulls import THIRD_UNDER
from clampbook.run.fold.tools import through
from clampbook.run.gather.asking import named, numbered
from clampbook.run.gather.draft import NONE, Draft, Part, bare
from clampbook.run.kinds.kind import Next, Outcome, Tools
from clampbook.run.kinds.stamping import common
from clampbook.run.kinds.values import off_scale, rounded
from clampbook.run.plan import Plan
from clampbook.run.progress import Progress, Question, standing
from clampbook.run.prompts import Choice, Decide, Prompt, Turn
from clampbook.run.session import Session
from clampbook.run.told.places import bolt_at
from clampbook.text import quoted
from clampbook.unit_names import UnitFault
from clampbook.units import UNITS_OF, Kind

_WORDS = {
    "broken": "Broken",
    "stripped": "Thread stripped",
    "never reaches the torque": "Torque not reached",
    "wrong or missing part": "Part wrong or missing",
}


def complete(prompt: Prompt, session: Session, draft: Draft) -> Next:
    """Ask what happened to it, and what it reached."""
    del session
    if not draft.has("how"):
        return Part(
            "how", "What happened?", "choice", numbered({"broke": "it broke", "stripped": "its thread stripped"})
        )
    reached = _asked_reached(prompt, draft, "What torque or angle did it reach, in which unit?")
    if isinstance(reached, Part):
        return reached
    return Broke("broken" if draft.text("how") == "broke" else "stripped", reached or None)


def never_reaches(prompt: Prompt, session: Session, draft: Draft) -> Next:
    """It does not reach its torque: what it reached."""
    del session
    reached = _asked_reached(prompt, draft, "What torque did it reach, in which unit?")
    return reached if isinstance(reached, Part) else Broke("never reaches the torque", reached or None)


def wrong_part(prompt: Prompt, session: Session, draft: Draft) -> Next:
    """It is the wrong part, or missing."""
    del prompt, session, draft
    return Broke("wrong or missing part")


def _asked_reached(prompt: Prompt, draft: Draft, text: str) -> Part | str:
    """Take what it reached, with its unit; a number alone is in that of the tool in hand, or its unit is
    asked for. Empty where it is not known.
    """
    if not draft.has("reached"):
        return Part("reached", text, "number", (Choice(NONE, "not known", NOT_KNOWN),))
    reached = draft.text("reached")
    if reached == NOT_KNOWN:
        return ""
    if pull_at(prompt) is not None or reached.strip(" 0123456789.,"):
        return typed_again(prompt, draft, reached)
    if not draft.has("unit"):
        return Part("unit", f"{reached} in which unit?", "choice", named((*UNITS_OF[Kind.TORQUE], "°")))
    return f"{reached} {draft.text('unit')}"


def decide(session: Session, prompt: Prompt, answer: Broke, stamp: Stamp) -> Outcome:
    """The fastener at hand is lost: the sequence freezes."""
    place = where_of(prompt)
    if place is None or place.position not in session.plan.group_of or isinstance(prompt, Decide):
        return Refused("No bolt is at hand. Answer this first, or write a note (/).")
    reached = _reached(session, prompt, answer.reached) if answer.reached else {}
    if isinstance(reached, str):
        return Refused(reached)
    return Accepted(
        e.Broken(
            **common(session, stamp, prompt),
            step=place.id,
            position=place.position or "",
            attempt=place.attempt,
            how=answer.how,
            **reached,
        )
    )


class Reached(TypedDict, total=False):
    """The torque of a fastener when it was lost: as shown, its number and unit, the tool, and the torque at
    the fastener.
    """

    reached: str
    value: str
    unit: str
    tool: str
    at_fastener: str


def _reached(session: Session, prompt: Prompt, text: str) -> Reached | str:
    """A torque or an angle with its unit; a number alone is in the unit of the tool in hand. A sentence where neither
    is there."""
    pull = pull_at(prompt)
    own = pull.tool.unit if pull is not None else None
    for kind in (Kind.TORQUE, Kind.ANGLE):
        try:
            found = units.parse(text, kind, unit=own if own is not None and units.kind_of(own) is kind else None)
        except UnitFault:
            continue
        fields = Reached(reached=units.show(found.value, found.unit), value=units.plain(found.value), unit=found.unit)
        if pull is not None and found.unit == own:
            fields["tool"] = pull.tool.id
        if kind is Kind.TORQUE and not isinstance(pull, Turn | None) and bare(text):  # else it was asked
            beyond = off_scale(found, pull.aim)
            if beyond:
                return beyond
        if kind is Kind.TORQUE:
            shown = units.convert(found.value, found.unit, session.plan.unit)
            fields["at_fastener"] = rounded(through(session.progress, fields.get("tool")).at_fastener(shown))
        return fields
    return f"{quoted(text)} is not a torque or an angle. Type it with its unit, such as 25 N·m, or - for not known."


def fold(plan: Plan, progress: Progress, event: e.Broken) -> Progress:
    """The sequence freezes, and it is asked what becomes of it."""
    index = plan.index_of[event.step]
    before = standing(progress, event.position)
    torque = Decimal(event.at_fastener) if event.at_fastener is not None else None
    fastener = before.fastener
    if event.how in ("broken", "stripped"):
        fastener = broke(fastener, torque, event.seq)
    elif torque is not None:
        fastener = pulled(fastener, torque, "reading", event.seq)
    state = replace(
        before,
        fastener=fastener,
        outcome="broken",
        latest=event.seq,
        latest_step=index,
        latest_what=None,
        through=-1,
    )
    kept = replace(progress, positions=progress.positions.insert(event.position, state), found=None)
    question = Question(cause=event.how, about=event.seq, step=index, positions=(event.position,), found=event.reached)
    asked = tuple(each for each in kept.questions if (each.cause, each.positions) != (THIRD_UNDER, (event.position,)))
    return ask_about(replace(kept, questions=asked), question)


def acts(line: Line, event: e.Broken) -> tuple[Act, ...]:
    """Give one act: the fastener was lost, and in which way."""
    return (line.act("broken", event.step, event.how, position=event.position),)


def tell(event: e.Broken, plan: Plan, tools: Tools) -> str:
    """Tell how it was lost, and what it had reached."""
    del tools
    at = f", {event.reached} reached" if event.reached else ""
    return f"{_WORDS[event.how]} !: {bolt_at(event.position, plan)}{at}."
