"""Decisions, signatures, and everything that stands around the work: notes, pauses, hand-over, closing."""

from __future__ import annotations

from clampbook import text as foreign
from clampbook.ledger.stamp import Stamp
from clampbook.run import answers as a
from clampbook.run import events as e
from clampbook.run import prompts as ask
from clampbook.run.answers import Accepted, Refused
from clampbook.run.independence import vouched_before
from clampbook.run.kinds.stamping import common
from clampbook.run.session import Session

Outcome = Accepted | Refused
MOST_NOTE = 2000


def hold(session: Session, prompt: ask.Prompt, answer: a.Hold, stamp: Stamp) -> Outcome:
    """The run stands unfinished, with a reason."""
    reason = foreign.clean(answer.reason, what="the reason")
    if not reason:
        return Refused("Say why the run is held.")
    waits_for = isinstance(prompt, ask.SignOff) or (isinstance(prompt, ask.Inspect) and prompt.hold_point)
    about = (prompt.about or None) if isinstance(prompt, ask.Decide) else None
    return Accepted(
        e.Held(
            **common(session, stamp, prompt),
            reason=reason,
            cause="decision" if isinstance(prompt, ask.Decide) else ("awaiting inspection" if waits_for else "other"),
            about=about,
        )
    )


def note(session: Session, prompt: ask.Prompt, answer: a.Note, stamp: Stamp) -> Outcome:
    """A note at the step at hand, or about an older line."""
    text = foreign.clean(answer.text, what="the note", most=MOST_NOTE)
    if not text:
        return Refused("The note is empty.")
    if answer.about is not None and not 0 < answer.about <= session.progress.seq:
        return Refused(f"There is no line {answer.about} in this daybook; it has {session.progress.seq}.")
    return Accepted(e.Noted(**common(session, stamp, prompt), text=text, step=_step(prompt), about=answer.about))


def _step(prompt: ask.Prompt) -> str | None:
    place = getattr(prompt, "where", None)
    return place.id if isinstance(place, ask.Where) else None


def arrived(session: Session, prompt: ask.Prompt, answer: a.Arrived, stamp: Stamp) -> Outcome:
    """A line from a tool where none was asked for is kept, with the position it belongs to."""
    text = foreign.clean(answer.text, what="the line", most=200)
    if answer.belongs_to is not None and answer.belongs_to not in session.plan.group_of:
        return Refused(f"There is no position {foreign.printable(answer.belongs_to)} in this joint.")
    return Accepted(
        e.ArrivedUnasked(**common(session, stamp, prompt), text=text, step=_step(prompt), belongs_to=answer.belongs_to)
    )


def around(
    session: Session, prompt: ask.Prompt, answer: a.Pause | a.TurnMap | a.HandTo | a.GiveUp, stamp: Stamp
) -> Outcome:
    """Pause, turn the picture, hand over, give up."""
    fields = common(session, stamp, prompt)
    match answer:
        case a.Pause(cause=cause):
            return Accepted(e.Paused(**fields, cause=cause))
        case a.TurnMap(quarters=quarters, from_below=from_below):
            return Accepted(e.MapTurned(**fields, quarters=quarters % 4, from_below=from_below))
        case a.HandTo(to=to, hands=hands):
            if to.id == session.progress.by and (hands.id if hands else None) == session.progress.hands:
                return Refused(f"{to.name} is doing this already.")
            looked = vouched_before(session.progress.shares, (to, hands))
            return Accepted(e.HandedOver(**fields, to=to, hands=hands, looked=looked))
        case a.GiveUp(reason=reason):
            clean = foreign.clean(reason, what="the reason")
            return Accepted(e.Abandoned(**fields, reason=clean)) if clean else Refused("Say why the run is given up.")
