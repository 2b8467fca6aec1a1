"""All is done but closing: as what the daybook supports, or as not accepted."""

from __future__ import annotations

from msgspec.structs import replace

from clampbook import text as foreign
from clampbook.ledger.stamp import Stamp
from clampbook.run import events as e
from clampbook.run.answers import Accepted, Answer, Finish, Plus, Refused
from clampbook.run.fold.acts import Act
from clampbook.run.fold.line import Line
from clampbook.run.gather.asking import reason as ask_why
from clampbook.run.gather.draft import Draft, Part
from clampbook.run.gather.keys import Keys
from clampbook.run.in_hand.care import before_a_long_pause
from clampbook.run.kinds.kind import Outcome, Tools
from clampbook.run.kinds.stamping import common
from clampbook.run.plan import Plan
from clampbook.run.progress import Progress
from clampbook.run.prompts import Choice, Ended, Finished
from clampbook.run.session import Session
from clampbook.run.told.words import Words


def keys(prompt: Finished | Ended) -> Keys:
    """Closed as it is, or as not accepted; nothing where the run is over."""
    if isinstance(prompt, Ended):
        return Keys(strays=False)
    close = Choice("1", f"close as {prompt.outcome}", "close", Finish(accepted=True))
    refuse = Choice("2", "not accepted", "not_accepted", Finish(accepted=False))
    return Keys((close, refuse), deliberate=True)


def words(prompt: Finished | Ended) -> Words:
    """As what it is closed; or how it ended."""
    if isinstance(prompt, Ended):
        care = before_a_long_pause(prompt.in_hand)
        return Words(" ".join((ended(prompt.outcome, prompt.reason), *care)))
    # no number: the record counts lines, and finds more than is asked about; whoever shows this lists them
    told = ", with deviations" if prompt.deviations else ""
    done = "The whole form is typed in" if prompt.on_form else "All steps done"
    return Words(f"{done}{told}. Close the run?")


def ended(outcome: str, why: str | None = None) -> str:
    """Tell how a walk came to its end, or to its end for today."""
    because = f": {why}" if why else ""
    match outcome:
        case "held":
            return f"Run on hold{because}."
        case "paused":
            return "Run paused. Resume it from the bench."
        case "abandoned":
            return f"Run abandoned{because}."
        case _:
            return f"Run closed: {outcome}{because}."


def complete(prompt: Finished | Ended, session: Session, begun: Answer, draft: Draft) -> Part | Refused | Answer:
    """Ask why it is not accepted."""
    del prompt, session
    if not isinstance(begun, Finish) or begun.accepted:
        return begun
    if not draft.has("reason"):
        return ask_why("not accepted", "Why is the joint not accepted?")
    return replace(begun, reason=draft.text("reason"))


def decide(session: Session, prompt: Finished | Ended, answer: Answer, stamp: Stamp) -> Outcome:
    """The run is closed, once."""
    if isinstance(prompt, Ended):
        return Refused("This run is over.")
    match answer:
        case Plus():
            accepted, reason = True, None
        case Finish(accepted=accepted, reason=reason):
            pass
        case _:
            return Refused("Choose 1 or 2.")
    if not accepted and not (reason or "").strip() and prompt.outcome != "not accepted":
        return Refused("Type why it is not accepted.")
    outcome = prompt.outcome if accepted else "not accepted"
    clean = foreign.clean(reason, what="the reason") if reason else None
    return Accepted(e.Closed(**common(session, stamp, prompt), outcome=outcome, reason=clean))


def fold(plan: Plan, progress: Progress, event: e.Closed) -> Progress:
    """Nothing more is asked."""
    del plan
    return replace(progress, ended=event.outcome, ended_reason=event.reason)


def acts(line: Line, event: e.Closed) -> tuple[Act, ...]:
    """Nothing is done on the work itself."""
    del line, event
    return ()


def tell(event: e.Closed, plan: Plan, tools: Tools) -> str:
    """As what it was closed; of a form its record alone knows how much it left open."""
    del tools
    return "Run closed." if plan.late else f"Run closed: {event.outcome}."
