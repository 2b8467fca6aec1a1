"""Decisions, signatures, and everything that stands around the work: notes, pauses, hand-over, closing."""

from __future__ import annotations

from decimal import Decimal

from clampbook import text as foreign
from clampbook.ledger.stamp import Stamp
from clampbook.people import Person
from clampbook.run import answers as a
from clampbook.run import events as e
from clampbook.run import prompts as ask
from clampbook.run.answers import Accepted, Refused
from clampbook.run.independence import CONCESSION, FOR_OTHERS, second_person, tie, vouched_before
from clampbook.run.kinds.stamping import common
from clampbook.run.kinds.values import rounded
from clampbook.run.progress import standing
from clampbook.run.prompts import DecideChoice
from clampbook.run.session import Session
from clampbook.run.signing_off import OTHERS, SIGNED, cannot_sign, meaning_of, wants_a_reason
from clampbook.run.ways import NEVER_REACHES
from clampbook.units import convert

Outcome = Accepted | Refused
MOST_NOTE = 2000


def resolve(session: Session, prompt: ask.Decide, answer: a.Answer, stamp: Stamp) -> Outcome:
    """One of the ways to go on, with all its parts."""
    if not isinstance(answer, a.Resolve):
        return Refused(f"Choose how to go on: {', '.join(each.choice for each in prompt.choices)}.")
    way = next((each for each in prompt.choices if each.choice == answer.choice), None)
    if way is None:
        return Refused(f"That is not open here. Choose: {', '.join(each.choice for each in prompt.choices)}.")
    if way.choice in ("correct", "hold", "abandon"):
        return Refused(f"To {way.choice}, answer with what it needs: {', '.join(way.needs)}.")
    if way.choice == NEVER_REACHES:
        return Accepted(_never_reaches(session, prompt, stamp))
    missing = _missing(session, way, answer)
    if missing is not None:
        return Refused(missing)
    conceded = way.choice == "concession"
    return Accepted(
        e.Decided(
            **common(session, stamp, prompt),
            about=prompt.about,
            cause=prompt.cause,
            choice=way.choice,
            step=prompt.where.id,
            position=prompt.position,
            scope=answer.scope if "scope" in way.needs else None,
            reason=foreign.clean(answer.reason, what="the reason") if answer.reason else None,
            person=answer.person if "person" in way.needs else None,
            meaning=CONCESSION if conceded else None,
            key=session.keys.get(answer.person.id) if conceded and answer.person is not None else None,
            back_to=answer.back_to if "back to" in way.needs else None,
        )
    )


def _never_reaches(session: Session, prompt: ask.Decide, stamp: Stamp) -> e.Broken:
    """After several readings that stayed under: the last one is what it reached."""
    state = standing(session.progress, prompt.position or "")
    value, unit, latest = state.last_value, state.shown_in or session.plan.unit, session.progress.last_reading
    there = None if value is None else state.reach.at_fastener(convert(Decimal(value), unit, session.plan.unit))
    return e.Broken(
        **common(session, stamp, prompt),
        step=prompt.where.id,
        position=prompt.position or "",
        attempt=prompt.where.attempt,
        how=NEVER_REACHES,
        reached=None if value is None else f"{value} {unit}",
        value=value,
        unit=None if value is None else unit,
        tool=None if latest is None else latest[0],
        at_fastener=None if there is None else rounded(there),
    )


def _missing(session: Session, way: DecideChoice, answer: a.Resolve) -> str | None:
    """A sentence about the first part that is missing or does not fit."""
    if "scope" in way.needs and answer.scope not in way.scopes:
        return f"How far: {', '.join(way.scopes)}."
    if "back to" in way.needs and answer.back_to not in [number for number, _ in way.back_to]:
        return f"Back to which stage: {', '.join(text for _, text in way.back_to)}."
    if "reason" in way.needs and not (answer.reason or "").strip():
        return "Give a reason; it stands in the record."
    if "person" in way.needs:
        if answer.person is None:
            return "Say who accepts it: a second person, by name."
        why = second_person(session.progress.shares, session.progress.at_it, answer.person.id)
        if why is not None:
            now = answer.person.id in session.progress.at_it
            name = f"{answer.person.name} {'does this work' if now else f'did this work ({why})'}"
            return f"{name}: a concession needs a second person. If nobody is there, hold the run."
    return None


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


def sign(session: Session, prompt: ask.SignOff, answer: a.Answer, stamp: Stamp) -> Outcome:
    """A role signs, with a key where the person has one, or is left unsigned where it need not sign."""
    fields = common(session, stamp, prompt)
    match answer:
        case a.SkipSignOff() if not prompt.required:
            which = prompt.role + (OTHERS if prompt.left else "")
            return Accepted(e.Asked(**fields, item=SIGNED + which, typed=None))
        case a.Sign(person=Person() as person, reason=reason):
            refused = cannot_sign(session.progress, prompt, person)
            if refused is not None:
                return Refused(refused)
            meaning = meaning_of(prompt, person.id)
            if wants_a_reason(meaning) and not (reason or "").strip():
                return Refused(_no_reason(session, prompt, person, meaning))
            return Accepted(
                e.SignedOff(
                    **fields,
                    role=prompt.role,
                    meaning=meaning,
                    person=person,
                    key=session.keys.get(person.id),
                    reason=foreign.clean(reason, what="the reason") if reason else None,
                )
            )
        case _:
            return Refused(f"Type the name of the person who signs as {prompt.role}.")


def _no_reason(session: Session, prompt: ask.SignOff, person: Person, meaning: str) -> str:
    if meaning == FOR_OTHERS:
        return f"{person.name} did not pull in this run: one who did signs as {prompt.role}, or give a reason."
    why = tie(session.progress.shares, session.progress.at_it, person.id)
    return f"{person.name} did work in this run ({why}): another person signs as {prompt.role}, or hold the run."


def finish(session: Session, prompt: ask.Finished, answer: a.Answer, stamp: Stamp) -> Outcome:
    """The run is closed."""
    match answer:
        case a.Plus():
            accepted, reason = True, None
        case a.Finish(accepted=accepted, reason=reason):
            pass
        case _:
            return Refused("Press + to close the run.")
    if not accepted and not (reason or "").strip() and prompt.outcome != "not accepted":
        return Refused("Say why it is not accepted.")
    outcome = prompt.outcome if accepted else "not accepted"
    clean = foreign.clean(reason, what="the reason") if reason else None
    return Accepted(e.Closed(**common(session, stamp, prompt), outcome=outcome, reason=clean))
