"""The zero of a tool that shows a torque or an angle, looked at with no load on it."""

from __future__ import annotations

from typing import Literal

from msgspec.structs import replace

from clampbook.ledger.stamp import Stamp
from clampbook.run import events as e
from clampbook.run.answers import Accepted, Answer, Refused, Zero
from clampbook.run.fold import trouble
from clampbook.run.fold.acts import Act
from clampbook.run.fold.frames import ask as ask_about
from clampbook.run.fold.frames import at_hand
from clampbook.run.fold.line import Line
from clampbook.run.fold.tools import hold, name_of
from clampbook.run.gather.draft import Draft, Part
from clampbook.run.gather.keys import Keys
from clampbook.run.kinds.kind import Outcome, Tools
from clampbook.run.kinds.stamping import common
from clampbook.run.plan import Plan
from clampbook.run.progress import Progress, Question, Why
from clampbook.run.prompts import Choice, ZeroTool
from clampbook.run.session import Session
from clampbook.run.told.words import Facts, Words

_FOUND = (
    Choice("1", "yes", "good", Zero("good")),
    Choice("2", "no", "wrong", Zero("wrong")),
    Choice("3", "not sure", "unknown", Zero("unknown")),
)


def keys(prompt: ZeroTool) -> Keys:
    """Offer the ways in which it may be found."""
    del prompt
    return Keys(_FOUND)


def words(prompt: ZeroTool) -> Words:
    """The question."""
    return Words(
        f"With no load, does {prompt.tool.name} read zero?",
        terms=("zero", "indicating tool"),
        facts=Facts(tool=prompt.tool.id),
    )


def complete(prompt: ZeroTool, session: Session, begun: Answer, draft: Draft) -> Part | Refused | Answer:
    """Nothing more is asked."""
    del prompt, session, draft
    return begun


def decide(session: Session, prompt: ZeroTool, answer: Answer, stamp: Stamp) -> Outcome:
    """Take how the zero was found."""
    if not isinstance(answer, Zero):
        return Refused("Choose 1 to 3.")
    after: Literal[True] | None = True if prompt.after else None
    return Accepted(
        e.ToolZeroed(**common(session, stamp, prompt), tool=prompt.tool.id, state=answer.state, after=after)
    )


def fold(plan: Plan, progress: Progress, event: e.ToolZeroed) -> Progress:
    """One that is not good is asked about."""
    held = progress.hand[event.tool]
    if event.after:
        held = replace(held, zeroed_after=True)
    if event.state == "not written":
        return hold(progress, event.tool, replace(held, zeroed=True))
    if event.state == "good":
        good = hold(progress, event.tool, replace(held, zeroed=True, good_since=event.seq))
        return trouble.zero_is_good(good, event)
    cause: Why = "zero wrong" if event.state == "wrong" else "zero unknown"
    wrong = trouble.zero_is_not_good(progress, event, held)
    if plan.late:  # it was worked with all the same
        return hold(wrong, event.tool, replace(held, zeroed=True))
    wrong = hold(wrong, event.tool, replace(held, zeroed=False))
    return ask_about(wrong, Question(cause=cause, about=event.seq, step=at_hand(progress), found=held.tool.name))


def acts(line: Line, event: e.ToolZeroed) -> tuple[Act, ...]:
    """Nothing is done on the work itself."""
    del line, event
    return ()


def tell(event: e.ToolZeroed, plan: Plan, tools: Tools) -> str:
    """Tell how it was found."""
    del plan
    name, after = name_of(event.tool, tools), " after the work" if event.after else ""
    told = {
        "good": f" reads zero{after}",
        "wrong": f" does not read zero{after}",
        "unknown": f": zero{after} not known",
        "not written": f": zero{after} not written on the form",
    }
    return f"{name}{told[event.state]}."
