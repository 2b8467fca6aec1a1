"""Sign-off at the end of a run: which role is asked for, what a signature means by who gives it, and when it wants a
reason."""

from __future__ import annotations

from collections.abc import Iterable

from msgspec.structs import replace

from clampbook.people import NOT_NAMED, Person
from clampbook.procedure import model as m
from clampbook.run.fold.independence import (
    FOR_OTHERS,
    INDEPENDENT,
    PERFORMED,
    SAME_PERSON,
    did_it,
    did_not_sign,
    tied,
)
from clampbook.run.plan import Plan
from clampbook.run.progress import Progress
from clampbook.run.prompts import SignOff
from clampbook.run.questions.typed_in import FROM_FORM, WHO_TYPED
from clampbook.signing.statement import said

SIGNED = "signed:"  # how the items of roles begin
OTHERS = ":others"  # and how that ends by which the others who pulled are left unsigned


def next_sign_off(plan: Plan, progress: Progress, people: Iterable[Person]) -> SignOff | None:
    """The first role that has neither signed nor was left open; after the assembler all others who pulled."""
    shares = progress.shares
    for role in plan.sign_off:
        item = SIGNED + role.role
        if item not in progress.items:
            return replace(asked_for(plan, progress, role), on_form=plan.late)
        if plan.late:
            continue
        left = did_not_sign(shares) if shares.signed and role.role == assembler(plan) else ()
        if left and item + OTHERS not in progress.items:
            named = {each.id: each for each in people}
            who = tuple(named.get(each, Person(each, each)) for each in left)
            return replace(asked_for(plan, progress, role), required=False, did=left, left=who)
    if plan.late and SIGNED + WHO_TYPED not in progress.items:
        return SignOff(WHO_TYPED, required=True, another_person=False, not_by=(), meaning=FROM_FORM, on_form=True)
    return None


def asked_for(plan: Plan, progress: Progress, role: m.SignOff) -> SignOff:
    """Give the question to a role, by who did what so far."""
    shares, at_it, other = progress.shares, progress.at_it, role.another_person
    meaning = INDEPENDENT if other else PERFORMED
    answers = role.role == assembler(plan)
    return SignOff(role.role, role.required, other, tied(shares, at_it), meaning, did_it(shares, at_it), answers)


def assembler(plan: Plan) -> str | None:
    """The role that signs for having done the work: the one of that name, else the first that wants no other person."""
    roles = [role.role for role in plan.sign_off if not role.another_person]
    return next((role for role in roles if role.casefold() == "assembler"), roles[0] if roles else None)


def meaning_of(prompt: SignOff, person: str) -> str:
    """Tell what the signature of this person in this role means, by who did what."""
    if prompt.another_person:
        return SAME_PERSON if person in prompt.not_by else INDEPENDENT
    if person in prompt.did or NOT_NAMED.id in prompt.did:
        return PERFORMED
    return FOR_OTHERS if prompt.assembler or person in prompt.not_by else INDEPENDENT


def not_independent(prompt: SignOff) -> tuple[str, ...]:
    """Of whom that is told in the list of people: only where another person is wanted."""
    return prompt.not_by if prompt.another_person else ()


def wants_a_reason(meaning: str) -> bool:
    """True where a signature of this meaning is not the one that the procedure asks for."""
    return meaning in (SAME_PERSON, FOR_OTHERS)


def cannot_sign(progress: Progress, prompt: SignOff, person: Person) -> str | None:
    """Say why a person cannot sign here at all: whoever looked as another person does not answer for the work
    as well.
    """
    if prompt.left:
        if person in prompt.left:
            return None
        why = "has signed already" if person.id in progress.shares.signed else "made no pull"
        return f"{person.name} {why}. Type {_names(prompt.left)}."
    shares = progress.shares
    if prompt.assembler and person.id in shares.looked and person.id not in prompt.did:
        return f"{person.name} was the second person in this run. Ask someone who pulled, or put the run on hold."
    return None


def _names(people: tuple[Person, ...]) -> str:
    *before, last = [one.name for one in people]
    return f"{', '.join(before)} and {last}" if before else last


def sentence(prompt: SignOff) -> str:
    """Say what is asked, in one sentence."""
    if prompt.left:
        return f"{_names(prompt.left)} also pulled. Sign off as {prompt.role}: “{said(PERFORMED)}” Type your name."
    if prompt.another_person:
        return f"Sign off as {prompt.role}: “{said(INDEPENDENT)}” Type your name."
    meant = f": “{said(PERFORMED)}”" if prompt.assembler else "."  # else what it means is told by who signs
    return f"Sign off as {prompt.role}{meant} Type your name."
