"""A tool is put away at the end, wound down where it needs that."""

from __future__ import annotations

from msgspec.structs import replace

from clampbook.ledger.stamp import Stamp
from clampbook.run import events as e
from clampbook.run.answers import Accepted, Answer, Plus, PutBack, Refused
from clampbook.run.fold.acts import Act
from clampbook.run.fold.line import Line
from clampbook.run.fold.tools import name_of, without
from clampbook.run.gather.draft import Draft, Part
from clampbook.run.gather.keys import Keys
from clampbook.run.in_hand.care import to_where
from clampbook.run.kinds.kind import Outcome, Tools
from clampbook.run.kinds.stamping import common
from clampbook.run.plan import Plan
from clampbook.run.progress import Progress
from clampbook.run.prompts import Choice, ReturnTool
from clampbook.run.session import Session
from clampbook.run.told.words import Facts, Words

_AWAY = (Choice("+", "put away", "put_away", PutBack(None)),)
_WOUND_DOWN = (
    Choice("+", "wound down", "wound_down", PutBack(True), ("1",)),
    Choice("2", "not wound down", "left_set", PutBack(False)),
)


def keys(prompt: ReturnTool) -> Keys:
    """Put away; wound down or not."""
    return Keys(_WOUND_DOWN if prompt.wind_down else _AWAY)


def words(prompt: ReturnTool) -> Words:
    """Show which tool, and how far it is wound down."""
    name = prompt.tool.name
    told = f"Wind {name} down{to_where(prompt.tool)}, then put it away." if prompt.wind_down else f"Put {name} away."
    return Words(told, facts=Facts(tool=prompt.tool.id))


def complete(prompt: ReturnTool, session: Session, begun: Answer, draft: Draft) -> Part | Refused | Answer:
    """Nothing more is asked."""
    del prompt, session, draft
    return begun


def decide(session: Session, prompt: ReturnTool, answer: Answer, stamp: Stamp) -> Outcome:
    """A tool is put away, wound down where it needs that."""
    if isinstance(answer, Plus) and not prompt.wind_down:
        answer = PutBack()
    if not isinstance(answer, PutBack):
        return Refused(words(prompt).sentence)
    if prompt.wind_down and answer.wound_down is None:
        return Refused(f"{words(prompt).sentence} Is it wound down?")
    wound = answer.wound_down if prompt.wind_down else None
    return Accepted(e.ToolReturned(**common(session, stamp, prompt), tool=prompt.tool.id, wound_down=wound))


def fold(plan: Plan, progress: Progress, event: e.ToolReturned) -> Progress:
    """It is in no hand any more."""
    del plan
    return replace(progress, hand=progress.hand.remove(event.tool), using=without(progress, event.tool))


def acts(line: Line, event: e.ToolReturned) -> tuple[Act, ...]:
    """Nothing is done on the work itself."""
    del line, event
    return ()


def tell(event: e.ToolReturned, plan: Plan, tools: Tools) -> str:
    """Tell which one, and whether it was wound down."""
    del plan
    how = {None: "", True: ", wound down", False: ", not wound down"}[event.wound_down]
    return f"{name_of(event.tool, tools)} put away{how}."
