"""The parts that a way to go on needs: how far it reaches, back to where, why, and who answers for it."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec.structs import replace

from clampbook.run.answers import Resolve
from clampbook.run.fold.independence import second_person, tied
from clampbook.run.gather.asking import numbered, person, reason
from clampbook.run.gather.draft import Part
from clampbook.run.progress import Question
from clampbook.run.prompts import Choice, DecideChoice
from clampbook.run.questions.costs import Cost, of_going_back, of_starting_over
from clampbook.run.session import Session

_REACH = {
    "fastener": "this fastener alone",
    "neighbours": "this one and its neighbours",
    "group": "its whole group",
    "joint": "the whole joint, with new consumables",
}
_WHY = {
    "concession": "Why is it accepted as it is?",
    "hold": "What does the run wait for?",
    "abandon": "Why is the run given up for good?",
    "go on": "Why does the work go on?",
    "leave": "Why is it left as it was?",
    "explain": "Where does the difference come from?",
    "go back": "Why is it done again from there?",
    "the whole joint again": "Why does the joint need doing again?",
}


def asked_for(need: str, way: DecideChoice, session: Session, about: Question) -> Part:
    """The question for one of them."""
    match need:
        case "scope":
            return Part("scope", "How far does it reach?", "choice", _scopes(way, session, about))
        case "back to":
            stages = {str(number): text for number, text in way.back_to}
            back = [of_going_back(session.plan, session.progress, stage, about.step) for stage, _ in way.back_to]
            return Part("back to", "Back to which stage?", "choice", _with_costs(numbered(stages), back))
        case "person":
            worked = tied(session.progress.shares, session.progress.at_it)
            return person("person", "Which other person answers for it?", session, worked=worked)
        case _:
            usual = way.choice if way.choice in ("hold", "concession", "abandon") else "decision"
            return reason(usual, _WHY.get(way.choice, f"Why: {way.text}?"))


def _scopes(way: DecideChoice, session: Session, about: Question) -> tuple[Choice, ...]:
    """How far it can reach, and what each costs."""
    plan, progress, renew = session.plan, session.progress, way.choice == "new fastener"
    costs = [of_starting_over(plan, progress, about.positions, about.step, s, renew=renew) for s in way.scopes]
    return _with_costs(numbered({s: _REACH[s] for s in way.scopes}), costs)


def _with_costs(choices: tuple[Choice, ...], costs: Sequence[Cost]) -> tuple[Choice, ...]:
    return tuple(replace(choice, costs=cost.told) for choice, cost in zip(choices, costs, strict=True))


def missing(session: Session, way: DecideChoice, answer: Resolve) -> str | None:
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
