"""The run stands unfinished, with a reason, and goes on another day."""

from __future__ import annotations

from msgspec.structs import replace

from clampbook import text as foreign
from clampbook.ledger.stamp import Stamp
from clampbook.run import events as e
from clampbook.run.answers import Accepted, Hold, Refused
from clampbook.run.fold.acts import Act
from clampbook.run.fold.line import Line
from clampbook.run.gather.asking import WHY_HOLD
from clampbook.run.gather.asking import reason as ask_why
from clampbook.run.gather.draft import Draft
from clampbook.run.kinds.kind import Next, Outcome, Tools
from clampbook.run.kinds.stamping import aside
from clampbook.run.plan import Plan
from clampbook.run.progress import Progress
from clampbook.run.prompts import Decide, Inspect, Prompt, SignOff
from clampbook.run.session import Session


def complete(prompt: Prompt, session: Session, draft: Draft) -> Next:
    """Ask what it waits for."""
    del prompt, session
    return Hold(draft.text("reason")) if draft.has("reason") else ask_why("hold", WHY_HOLD)


def decide(session: Session, prompt: Prompt, answer: Hold, stamp: Stamp) -> Outcome:
    """The run stands unfinished, with a reason."""
    reason = foreign.clean(answer.reason, what="the reason")
    if not reason:
        return Refused("Type why the run is on hold.")
    waits_for = isinstance(prompt, SignOff) or (isinstance(prompt, Inspect) and prompt.hold_point)
    about = (prompt.about or None) if isinstance(prompt, Decide) else None
    return Accepted(
        e.Held(
            **aside(session, stamp, prompt),
            reason=reason,
            cause="decision" if isinstance(prompt, Decide) else ("awaiting inspection" if waits_for else "other"),
            about=about,
        )
    )


def fold(plan: Plan, progress: Progress, event: e.Held) -> Progress:
    """Nothing more is asked until the run is resumed."""
    del plan
    return replace(progress, stopped="held", stop_reason=event.reason, deviations=progress.deviations + 1)


def acts(line: Line, event: e.Held) -> tuple[Act, ...]:
    """Nothing is done on the work itself."""
    del line, event
    return ()


def tell(event: e.Held, plan: Plan, tools: Tools) -> str:
    """Tell what it waits for."""
    del plan, tools
    return f"Run on hold: {event.reason}."
