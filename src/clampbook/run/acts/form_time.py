"""A time on the paper form is typed before a row, or with it: that of all rows from there on."""

from __future__ import annotations

from clampbook.ledger.stamp import Stamp, clock_there
from clampbook.run.acts.at_hand import is_pull
from clampbook.run.answers import PaperTime, Refused
from clampbook.run.gather.asking import numbered
from clampbook.run.gather.draft import Draft, Part
from clampbook.run.kinds.kind import Next, Outcome
from clampbook.run.on_form.now_typed import earlier_on_form, typed_on_form
from clampbook.run.on_form.times import EARLIER
from clampbook.run.prompts import PaperTime as Asked
from clampbook.run.prompts import Prompt
from clampbook.run.questions import paper_time
from clampbook.run.session import Session
from clampbook.text import quoted

_EARLIER, _STANDS = "earlier time", "stands"
_WHICH = numbered(
    {_STANDS: "it stands beside this row, out of order", "another": "another row, another day, or a slip"}
)


def complete(prompt: Prompt, session: Session, draft: Draft) -> Next:
    """Ask for it."""
    if not session.plan.late:
        return Refused("The time is that of the clock. Only a form that is typed in has its own.")
    if not draft.has("time"):
        return Part("time", "Which time stands on the form? Type it as 9:14.", "line")
    return before_a_row(prompt, session, draft, draft.text("time"))


def before_a_row(prompt: Prompt, session: Session, draft: Draft, time: str) -> Part | Refused | PaperTime:
    """The time that is typed before a row, or with it; one that is before the last time stands there out of order, or
    is none."""
    if earlier_on_form(session, time) is None:
        at = typed_on_form(session, time)
        return Refused(at) if isinstance(at, str) else PaperTime(time)
    if not draft.has(_EARLIER):
        last = clock_there(session.progress.at, session.progress.offset)
        return Part(_EARLIER, f"{quoted(time)} is before the last time, {last}. Which is it?", "choice", _WHICH)
    if draft.text(_EARLIER) == _STANDS:
        return PaperTime(time, out_of_order=True)
    another = " Another row first: *2." if is_pull(prompt) else ""
    return Refused(f"Nothing changed.{another} {EARLIER}")


def decide(session: Session, prompt: Prompt, answer: PaperTime, stamp: Stamp) -> Outcome:
    """At a question for the time of a round it is that one."""
    if not session.plan.late:
        return Refused("The time is that of the clock. Only a form that is typed in has its own.")
    step = prompt.where.id if isinstance(prompt, Asked) else None
    return paper_time.timed(session, prompt, answer, stamp, step)
