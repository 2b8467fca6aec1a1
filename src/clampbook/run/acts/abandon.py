"""The run is abandoned for good."""

from __future__ import annotations

from msgspec.structs import replace

from clampbook import text as foreign
from clampbook.ledger.stamp import Stamp
from clampbook.run import events as e
from clampbook.run.answers import Accepted, GiveUp, Refused
from clampbook.run.fold.acts import Act
from clampbook.run.fold.line import Line
from clampbook.run.gather.asking import WHY_ABANDON, numbered, reason
from clampbook.run.gather.draft import Draft, Part
from clampbook.run.kinds.kind import Next, Outcome, Tools
from clampbook.run.kinds.stamping import aside
from clampbook.run.plan import Plan
from clampbook.run.progress import Progress
from clampbook.run.prompts import Prompt
from clampbook.run.session import Session


def complete(prompt: Prompt, session: Session, draft: Draft) -> Next:
    """Ask why, and if that is meant."""
    del prompt, session
    if not draft.has("reason"):
        return reason("abandon", WHY_ABANDON)
    if not draft.has("sure"):
        ways = {"no": "no", "yes": "yes, it cannot be resumed"}
        return Part("sure", "Abandon for good?", "choice", numbered(ways))
    return GiveUp(draft.text("reason")) if draft.text("sure") == "yes" else Refused("The run goes on.")


def decide(session: Session, prompt: Prompt, answer: GiveUp, stamp: Stamp) -> Outcome:
    """With a reason."""
    why = foreign.clean(answer.reason, what="the reason")
    if not why:
        return Refused("Type why the run is abandoned.")
    return Accepted(e.Abandoned(**aside(session, stamp, prompt), reason=why))


def fold(plan: Plan, progress: Progress, event: e.Abandoned) -> Progress:
    """Nothing more is asked."""
    del plan
    return replace(progress, ended="abandoned", ended_reason=event.reason)


def acts(line: Line, event: e.Abandoned) -> tuple[Act, ...]:
    """Nothing is done on the work itself."""
    del line, event
    return ()


def tell(event: e.Abandoned, plan: Plan, tools: Tools) -> str:
    """Tell why."""
    del plan, tools
    return f"Run abandoned: {event.reason}."
