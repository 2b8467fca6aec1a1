"""One answer becomes one event, or a doubt, or a sentence: `decide(session, answer, stamp)`. Nothing is written."""

from __future__ import annotations

from dataclasses import replace

import msgspec

from clampbook.ledger.stamp import Stamp
from clampbook.run import answers as a
from clampbook.run import asked
from clampbook.run import prompts as ask
from clampbook.run.answers import Accepted, Refused, Unsure
from clampbook.run.deciding import correcting, ending, handling, mending
from clampbook.run.draft import bare
from clampbook.run.independence import LOOKED_BEFORE, looked_before
from clampbook.run.prompting import prompt as prompt_of
from clampbook.run.questions import take_tool
from clampbook.run.session import Session
from clampbook.text import TextFault

Outcome = Accepted | Unsure | Refused
AT_A_DECISION = (a.TakeUp, a.BadPull, a.PulledAnother, a.LeaveForLater, a.Broke)


def decide(session: Session, answer: a.Answer, stamp: Stamp) -> Outcome:
    """What an answer comes to at this moment; never raises for anything a person can type."""
    prompt = prompt_of(session)
    try:
        if isinstance(prompt, ask.Ended):
            return Refused("This run is over; nothing more can be written in its daybook.")
        if isinstance(prompt, ask.Decide | ask.StepState) and isinstance(answer, AT_A_DECISION):
            return Refused("This has to be decided first.")
        if session.doubt is not None and isinstance(answer, a.Value | a.Still) and bare(answer.text or ""):
            plainly = _anywhere(replace(session, doubt=None), prompt, answer, stamp)
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
    match answer:
        case a.TakeUp():
            return take_tool.take(session, prompt, answer, stamp)
        case a.BadPull():
            return mending.bad_pull(session, prompt, answer, stamp)
        case a.PulledAnother():
            return mending.another(session, prompt, answer, stamp)
        case a.LeaveForLater():
            return mending.leave_for_later(session, prompt, answer, stamp)
        case a.Broke():
            return mending.broke(session, prompt, answer, stamp)
        case a.Correct():
            return correcting.correct(session, prompt, answer, stamp)
        case a.VoidStored():
            return mending.void_stored(session, prompt, answer, stamp)
        case a.Note():
            return ending.note(session, prompt, answer, stamp)
        case a.Hold():
            return ending.hold(session, prompt, answer, stamp)
        case a.Drop():
            return handling.drop(session, prompt, answer, stamp)
        case a.DoubtTool():
            return handling.doubt(session, prompt, answer, stamp)
        case a.Arrived():
            return ending.arrived(session, prompt, answer, stamp)
        case a.Pause() | a.TurnMap() | a.HandTo() | a.GiveUp():
            return ending.around(session, prompt, answer, stamp)
        case _:
            return asked.question(prompt).decide(session, prompt, answer, stamp)
