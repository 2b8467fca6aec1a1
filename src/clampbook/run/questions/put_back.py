"""A tool is put back at the end, wound down where it wants that."""

from __future__ import annotations

from decimal import Decimal

from msgspec.structs import replace

from clampbook import units
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

_AWAY = (Choice("+", "put back", "put_away", PutBack(None)),)
_WOUND_DOWN = (
    Choice("1", "put back, wound down", "wound_down", PutBack(True)),
    Choice("2", "put back as it is", "left_set", PutBack(False)),
)


def keys(prompt: ReturnTool) -> Keys:
    """Put back; wound down or not."""
    return Keys(_WOUND_DOWN if prompt.wind_down else _AWAY)


def words(prompt: ReturnTool) -> Words:
    """Show which tool, and how far it is wound down."""
    name = prompt.tool.name
    told = f"Wind {name} down{to_where(prompt.tool)}, then put it back." if prompt.wind_down else f"Put {name} back."
    return Words(told, facts=Facts(tool=prompt.tool.id))


def complete(prompt: ReturnTool, session: Session, begun: Answer, draft: Draft) -> Part | Refused | Answer:
    """Nothing more is asked."""
    del prompt, session, draft
    return begun


def decide(session: Session, prompt: ReturnTool, answer: Answer, stamp: Stamp) -> Outcome:
    """A tool is put back, wound down where it wants that."""
    if isinstance(answer, Plus) and not prompt.wind_down:
        answer = PutBack()
    if not isinstance(answer, PutBack):
        return Refused(f"Put {prompt.tool.name} back.")
    if prompt.wind_down and answer.wound_down is None:
        lowest = prompt.tool.wound_down_to or prompt.tool.minimum or Decimal(0)
        return Refused(
            f"Wind {prompt.tool.name} down to {units.show(lowest, prompt.tool.unit)}, and say whether it is."
        )
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
    return f"Put back: {name_of(event.tool, tools)}{how}."
