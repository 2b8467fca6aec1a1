"""A role signs at the end by typed name, or with a key; or it is left unsigned where it need not sign."""

from __future__ import annotations

from msgspec.structs import replace

from clampbook import text as foreign
from clampbook.ledger.stamp import Stamp
from clampbook.people import Person
from clampbook.run import events as e
from clampbook.run.answers import Accepted, Answer, Refused, Sign, SkipSignOff, Value
from clampbook.run.fold.acts import Act
from clampbook.run.fold.independence import FOR_OTHERS, given, tie
from clampbook.run.fold.line import Line
from clampbook.run.gather.asking import did, person, reason
from clampbook.run.gather.draft import NONE, Draft, Part
from clampbook.run.gather.keys import Keys
from clampbook.run.kinds.kind import Outcome, Tools
from clampbook.run.kinds.stamping import common
from clampbook.run.plan import Plan
from clampbook.run.progress import Progress
from clampbook.run.prompts import Choice, SignOff
from clampbook.run.questions.signing import (
    OTHERS,
    SIGNED,
    cannot_sign,
    meaning_of,
    not_independent,
    sentence,
    wants_a_reason,
)
from clampbook.run.questions.typed_in import WHO_TYPED
from clampbook.run.session import Session
from clampbook.run.told.words import Field, Words


def keys(prompt: SignOff) -> Keys:
    """A name; or that it is left unsigned."""
    leave: tuple[Choice, ...] = ()
    if prompt.left:
        leave = (Choice(NONE, "leave the others open", "leave_others_open", SkipSignOff()),)
    elif not prompt.required:
        leave = (Choice(NONE, "leave it open", "leave_open", SkipSignOff()),)
    return Keys(leave, types="text", wanted="the name or its number", deliberate=True, people=True)


def words(prompt: SignOff) -> Words:
    """As what it is signed, and what that means."""
    return Words(sentence(prompt), field=Field("number or name"), terms=("another person",))


def complete(prompt: SignOff, session: Session, begun: Answer, draft: Draft) -> Part | Refused | Answer:
    """Ask who signs, and why this person where another one is wanted; what was typed names the person."""
    if not isinstance(begun, Value):
        return begun
    signer = draft.person("person")
    if signer is None:
        asked = f"Who signs off as {prompt.role}?"
        return person("person", asked, session, worked=not_independent(prompt), of=prompt.left or None)
    meaning = meaning_of(prompt, signer.id)
    if not wants_a_reason(meaning) or cannot_sign(session.progress, prompt, signer) is not None:
        return Sign(signer)
    if not draft.has("reason"):
        return reason("same person", _why_this_person(session, signer, meaning))
    return Sign(signer, draft.text("reason"))


def _why_this_person(session: Session, signer: Person, meaning: str) -> str:
    if meaning == FOR_OTHERS:
        return f"{signer.name} made no pull in this run. Why not someone who did?"
    why = tie(session.progress.shares, session.progress.at_it, signer.id)
    return f"{did(signer.name, why or 'pulled')}. Why not another person?"


def decide(session: Session, prompt: SignOff, answer: Answer, stamp: Stamp) -> Outcome:
    """A role signs, with a key where the person has one, or is left unsigned where it need not sign."""
    fields = common(session, stamp, prompt)
    match answer:
        case SkipSignOff() if not prompt.required:
            which = prompt.role + (OTHERS if prompt.left else "")
            return Accepted(e.Asked(**fields, item=SIGNED + which, typed=None))
        case Sign(person=Person() as person, reason=reason):
            refused = cannot_sign(session.progress, prompt, person)
            if refused is not None:
                return Refused(refused)
            meaning = meaning_of(prompt, person.id)
            if wants_a_reason(meaning) and not (reason or "").strip():
                return Refused(_no_reason(session, person, meaning))
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
            return Refused(f"Type the name of {prompt.role}.")


def _no_reason(session: Session, person: Person, meaning: str) -> str:
    if meaning == FOR_OTHERS:
        return f"{person.name} made no pull in this run. Ask someone who did, or give a reason."
    why = tie(session.progress.shares, session.progress.at_it, person.id)
    return f"{did(person.name, why or 'pulled')}. Ask a second person, or put the run on hold."


def fold(plan: Plan, progress: Progress, event: e.SignedOff) -> Progress:
    """The role has signed."""
    del plan
    other = wants_a_reason(event.meaning)  # than the procedure asks for
    items = progress.items.insert(SIGNED + event.role, event.seq)
    return replace(progress, items=items, deviations=progress.deviations + other)


def acts(line: Line, event: e.SignedOff) -> tuple[Act, ...]:
    """Nothing is done on the work itself."""
    del line, event
    return ()


def tell(event: e.SignedOff, plan: Plan, tools: Tools) -> str:
    """Tell who signed as what."""
    del tools
    how = "on the form" if plan.late and event.role != WHO_TYPED else given(event.key)
    how += ", no time beside it" if event.undated else ""
    return f"Signed off as {event.role}: {event.person.name}, {event.meaning}, {how}."
