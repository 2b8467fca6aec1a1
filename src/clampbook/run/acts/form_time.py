"""A time on the paper form is typed before a row, or with it: that of all rows from there on."""

from __future__ import annotations

from clampbook.ledger.stamp import Stamp
from clampbook.run.answers import PaperTime, Refused
from clampbook.run.gather.draft import Draft, Part
from clampbook.run.kinds.kind import Next, Outcome
from clampbook.run.prompts import PaperTime as Asked
from clampbook.run.prompts import Prompt
from clampbook.run.questions import paper_time
from clampbook.run.session import Session


def complete(prompt: Prompt, session: Session, draft: Draft) -> Next:
    """Ask for it."""
    del prompt
    if not session.plan.late:
        return Refused("The time is that of the clock. Only a form that is typed in has its own.")
    if not draft.has("time"):
        return Part("time", "Which time stands on the form? Type it as 9:14.", "line")
    return PaperTime(draft.text("time"))


def decide(session: Session, prompt: Prompt, answer: PaperTime, stamp: Stamp) -> Outcome:
    """At a question for the time of a round it is that one."""
    if not session.plan.late:
        return Refused("The time is that of the clock. Only a form that is typed in has its own.")
    step = prompt.where.id if isinstance(prompt, Asked) else None
    return paper_time.timed(session, prompt, answer, stamp, step)
