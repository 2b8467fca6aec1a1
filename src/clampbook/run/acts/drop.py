"""A tool fell: it is laid down, or the work goes on with it for a reason."""

from __future__ import annotations

from msgspec.structs import replace

from clampbook import text as foreign
from clampbook.ledger.stamp import Stamp
from clampbook.run import events as e
from clampbook.run.acts.at_hand import none_such, which_in_hand
from clampbook.run.answers import Accepted, Drop, Refused
from clampbook.run.fold import trouble
from clampbook.run.fold.acts import Act
from clampbook.run.fold.line import Line
from clampbook.run.fold.tools import fresh, kind_named, laid_down, name_of
from clampbook.run.gather.asking import numbered, reason
from clampbook.run.gather.draft import Draft, Part
from clampbook.run.kinds.kind import Next, Outcome, Tools
from clampbook.run.kinds.stamping import aside
from clampbook.run.plan import Plan
from clampbook.run.progress import Progress
from clampbook.run.prompts import Prompt
from clampbook.run.session import Session
from clampbook.tools.model import MEASURING, one_use


def complete(prompt: Prompt, session: Session, draft: Draft) -> Next:
    """Ask which one, and what becomes of it."""
    del prompt
    tool = which_in_hand(session, draft, "Which tool was dropped?")
    if not isinstance(tool, str):
        return tool
    if not draft.has("then"):
        ways = {"out": "leave it until it is checked", "go_on": "use it anyway (give a reason)"}
        fallen = next(held.tool.name for held in session.progress.hand.values() if held.tool.id == tool)
        return Part("then", f"{fallen} was dropped. What now?", "choice", numbered(ways))
    if draft.text("then") == "out":
        return Drop(tool)
    if not draft.has("reason"):
        return reason("dropped", "Why use it anyway?")
    return Drop(tool, draft.text("reason"))


def decide(session: Session, prompt: Prompt, answer: Drop, stamp: Stamp) -> Outcome:
    """A tool fell."""
    if answer.tool not in session.progress.hand:
        return Refused(none_such(session, answer.tool))
    going_on = foreign.clean(answer.going_on, what="the reason") if answer.going_on else None
    return Accepted(e.ToolDropped(**aside(session, stamp, prompt), tool=answer.tool, going_on=going_on or None))


def fold(plan: Plan, progress: Progress, event: e.ToolDropped) -> Progress:
    """A dropped tool is laid down, or the work goes on with it for a reason; then its zero is looked at, or its scale
    typed back."""
    del plan
    progress = trouble.dropped(replace(progress, deviations=progress.deviations + 1), event)
    if event.going_on is not None:
        fell = (progress.troubles[event.tool][-1].cause,)
        gone_on = trouble.borne(progress, event.tool, fell, event.going_on)
        return fresh(gone_on, event.tool)
    return laid_down(progress, event.tool)


def acts(line: Line, event: e.ToolDropped) -> tuple[Act, ...]:
    """Nothing is done on the work itself."""
    del line, event
    return ()


def tell(event: e.ToolDropped, plan: Plan, tools: Tools) -> str:
    """Tell what becomes of it."""
    del plan
    name, kind = name_of(event.tool, tools), kind_named(event.tool, tools)
    if event.going_on:
        return f"{name} dropped, used anyway: {event.going_on}. Its next {one_use(kind)}s are in question."
    until = "it is calibrated" if kind in MEASURING else "it passes a check"
    return f"{name} dropped: use it again only with a reason, until {until}."
