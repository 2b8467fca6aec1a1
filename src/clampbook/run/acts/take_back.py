"""The last answer was typed wrong from a paper form: it is asked again, and its line stays in the daybook."""

from __future__ import annotations

from msgspec.structs import replace

from clampbook.ledger.stamp import Stamp
from clampbook.run import events as e
from clampbook.run.acts.held_against import NOTHING_YET
from clampbook.run.answers import Accepted, Refused, TakeBack
from clampbook.run.fold.acts import Act
from clampbook.run.fold.line import Line
from clampbook.run.gather.draft import Draft
from clampbook.run.kinds.kind import Next, Outcome, Tools
from clampbook.run.kinds.stamping import aside
from clampbook.run.plan import Plan
from clampbook.run.progress import Progress, line_to_take_back
from clampbook.run.prompts import Prompt
from clampbook.run.session import Session


def complete(prompt: Prompt, session: Session, draft: Draft) -> Next:
    """Nothing more is asked: the question that comes then is the one that was answered."""
    del prompt, session, draft
    return TakeBack()


def decide(session: Session, prompt: Prompt, answer: TakeBack, stamp: Stamp) -> Outcome:
    """The line of the last answer, as far back as the last break; the time on the form is again the one before it."""
    del answer
    progress = session.progress
    line = line_to_take_back(progress)
    if line is None:
        return Refused(NOTHING_YET)
    fields = aside(session, stamp, prompt)
    before = next(iter(progress.past))
    fields["at"], fields["offset"] = before.at, before.offset
    return Accepted(e.TakenBack(**fields, of=line))


def fold(plan: Plan, progress: Progress, event: e.TakenBack) -> Progress:
    """The state before the answer; a line that names itself stands for one that is gone, and changes nothing."""
    del plan
    if event.of == event.seq:
        return progress
    if event.of != line_to_take_back(progress):
        raise LookupError(event.of)
    return replace(next(iter(progress.past)), past=progress.past.drop_first(), seq=event.seq)


def acts(line: Line, event: e.TakenBack) -> tuple[Act, ...]:
    """Nothing is done on the work itself."""
    del line, event
    return ()


def tell(event: e.TakenBack, plan: Plan, tools: Tools) -> str:
    """Tell that it is asked again."""
    del event, plan, tools
    return "Taken back: the last answer was typed wrong. It is asked again."
