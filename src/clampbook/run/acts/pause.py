"""Stopping for now."""

from __future__ import annotations

from msgspec.structs import replace

from clampbook.ledger.stamp import Stamp
from clampbook.run import events as e
from clampbook.run.answers import Accepted, Pause
from clampbook.run.fold.acts import Act
from clampbook.run.fold.line import Line
from clampbook.run.gather.draft import Draft
from clampbook.run.kinds.kind import Next, Outcome, Tools
from clampbook.run.kinds.stamping import aside
from clampbook.run.plan import Plan
from clampbook.run.progress import Progress
from clampbook.run.prompts import Prompt
from clampbook.run.session import Session


def complete(prompt: Prompt, session: Session, draft: Draft) -> Next:
    """Nothing is asked."""
    del prompt, session, draft
    return Pause()


def decide(session: Session, prompt: Prompt, answer: Pause, stamp: Stamp) -> Outcome:
    """At once."""
    return Accepted(e.Paused(**aside(session, stamp, prompt), cause=answer.cause))


def fold(plan: Plan, progress: Progress, event: e.Paused) -> Progress:
    """Nothing more is asked until the run is taken up again."""
    del plan
    return replace(progress, stopped="paused", stop_reason=event.cause)


def acts(line: Line, event: e.Paused) -> tuple[Act, ...]:
    """Nothing is done on the work itself."""
    del line, event
    return ()


def tell(event: e.Paused, plan: Plan, tools: Tools) -> str:
    """That it is."""
    del event, plan, tools
    return "Paused."
