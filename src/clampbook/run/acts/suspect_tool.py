"""A person suspects a tool; or the book has heard that it is in trouble."""

from __future__ import annotations

from decimal import Decimal

from clampbook import text as foreign
from clampbook.ledger.stamp import Stamp
from clampbook.run import events as e
from clampbook.run.acts.at_hand import none_such, which_in_hand
from clampbook.run.answers import Accepted, Refused, SuspectTool
from clampbook.run.fold import trouble
from clampbook.run.fold.acts import Act
from clampbook.run.fold.line import Line
from clampbook.run.fold.tools import laid_down, name_of
from clampbook.run.gather.asking import reason
from clampbook.run.gather.draft import Draft
from clampbook.run.kinds.kind import Next, Outcome, Tools
from clampbook.run.kinds.stamping import aside
from clampbook.run.plan import Plan
from clampbook.run.progress import Progress
from clampbook.run.prompts import Prompt
from clampbook.run.session import Session
from clampbook.tools.state import found_off


def complete(prompt: Prompt, session: Session, draft: Draft) -> Next:
    """Ask which one, and why."""
    del prompt
    tool = which_in_hand(session, draft, "Which tool is suspect?")
    if not isinstance(tool, str):
        return tool
    if not draft.has("reason"):
        return reason("suspect tool", "Why is it suspect?")
    return SuspectTool(tool, draft.text("reason"))


def decide(session: Session, prompt: Prompt, answer: SuspectTool, stamp: Stamp) -> Outcome:
    """A person suspects a tool: what is pulled with it from this line on is in question. What it showed before is not,
    whatever the person says of it, unless a check finds it off."""
    if answer.tool not in session.progress.hand:
        return Refused(none_such(session, answer.tool))
    since = session.progress.seq + 1
    why = foreign.clean(answer.why, what="the reason")
    if not why:
        return Refused("Type why the tool is suspect.")
    return Accepted(e.ToolSuspected(**aside(session, stamp, prompt), tool=answer.tool, why=why, since=since))


def fold(plan: Plan, progress: Progress, event: e.ToolSuspected) -> Progress:
    """It serves nothing until it is picked up again."""
    del plan
    return laid_down(trouble.suspected(progress, event), event.tool)


def acts(line: Line, event: e.ToolSuspected) -> tuple[Act, ...]:
    """Nothing is done on the work itself."""
    del line, event
    return ()


def tell(event: e.ToolSuspected, plan: Plan, tools: Tools) -> str:
    """Tell what is in question with it."""
    del plan
    name = name_of(event.tool, tools)
    if event.trouble is not None:
        return f"{name}, {event.trouble.says}: use it again only with a reason, until it passes a check."
    if event.check is None:
        return f"{name} suspect: use it again only with a reason, until it passes a check."
    off = None if event.off is None else Decimal(event.off)
    found = found_off(event.check, event.found or "", off)
    told = f"? {name}: {found}. Its readings since line {event.since} are in question."
    return f"{told} Use another tool." if event.withdrawn else told
