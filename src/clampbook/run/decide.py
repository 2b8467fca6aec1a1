"""One answer becomes an event, an unusual value or a sentence: `decide(session, answer, stamp)`. Nothing is written."""

from __future__ import annotations

from dataclasses import replace

import msgspec

from clampbook.ledger.stamp import Stamp
from clampbook.run import acts, asked
from clampbook.run import answers as a
from clampbook.run import prompts as ask
from clampbook.run.answers import Accepted, Refused, Unsure
from clampbook.run.fold.independence import LOOKED_BEFORE, looked_before
from clampbook.run.next_prompt import prompt as prompt_of
from clampbook.run.session import Session
from clampbook.text import TextFault

Outcome = Accepted | Unsure | Refused
AT_A_DECISION = (a.TakeUp, a.BadPull, a.PulledAnother, a.Skip, a.Broke)


def decide(session: Session, answer: a.Answer, stamp: Stamp, prompt: ask.Prompt | None = None) -> Outcome:
    """Decide what an answer comes to at this moment; never raises for anything a person can type. `prompt` is what is
    asked then, where that is known already."""
    prompt = prompt or prompt_of(session)
    try:
        if isinstance(prompt, ask.Ended):
            return Refused("This run is over; nothing more can be written in its daybook.")
        if isinstance(prompt, ask.Decide | ask.StepState) and isinstance(answer, AT_A_DECISION):
            return Refused("This has to be decided first.")
        if session.unusual is not None and isinstance(answer, a.Value | a.Still):  # another value may be a usual one
            plainly = _anywhere(replace(session, unusual=None), prompt, answer, stamp)
            if isinstance(plainly, Accepted):
                return _first_work(session, plainly)
        return _first_work(session, _anywhere(session, prompt, answer, stamp))
    except TextFault as fault:
        return Refused(str(fault))


def _first_work(session: Session, outcome: Outcome) -> Outcome:
    """The first work of somebody who vouched as another person says so in its line."""
    if not isinstance(outcome, Accepted) or not looked_before(session.progress.shares, outcome.event):
        return outcome
    event = outcome.event
    return Accepted(msgspec.structs.replace(event, noted=(*event.noted, LOOKED_BEFORE)))


def _anywhere(session: Session, prompt: ask.Prompt, answer: a.Answer, stamp: Stamp) -> Outcome:
    """Answers that can be given at every prompt; all others belong to the one at hand."""
    if isinstance(answer, a.Anywhere):
        return acts.of(answer).decide(session, prompt, answer, stamp)
    return asked.question(prompt).decide(session, prompt, answer, stamp)
