"""The parts that a way to go on needs: how far it reaches, back to where, why, and who answers for it."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from msgspec.structs import replace

from clampbook.run.answers import Resolve
from clampbook.run.fold.independence import second_person, tied
from clampbook.run.gather.asking import WHY_ABANDON, WHY_HOLD, did, numbered, person, reason
from clampbook.run.gather.draft import Part
from clampbook.run.progress import OF_PARTS, SPREAD, TOO_MANY, Question
from clampbook.run.prompts import Choice, DecideChoice
from clampbook.run.questions.costs import Cost, of_going_back, of_starting_over
from clampbook.run.session import Session

_MEASURED = ("outside", SPREAD, TOO_MANY)
_REACH = {
    "fastener": "only this one",
    "neighbours": "with its neighbours",
    "group": "the whole group",
    "joint": "the whole joint, new consumables",
}
_WHY = {
    "concession": "Why accept it as is?",
    "hold": WHY_HOLD,
    "abandon": WHY_ABANDON,
    "go on": "Why go on?",
    "leave": "Why leave it?",
    "explain": "Where does the difference come from?",
    "go back": "Why go back?",
    "the whole joint again": "Why redo the joint?",
}


def asked_for(need: str, way: DecideChoice, session: Session, about: Question) -> Part:
    """The question for one of them."""
    match need:
        case "scope":
            return _scope(way, session, about)
        case "back to":
            stages = {str(number): text for number, text in way.back_to}
            if session.plan.late:
                return Part("back to", "Back to which stage, on the form?", "choice", numbered(stages))
            back = [of_going_back(session.plan, session.progress, stage, about.step) for stage, _ in way.back_to]
            return Part("back to", "Back to which stage?", "choice", _with_costs(numbered(stages), back))
        case "person":
            worked = tied(session.progress.shares, session.progress.at_it)
            return person("person", f"Who accepts it?{_not_by(session, worked)}", session, worked=worked)
        case _:
            return reason(_usual(way, about), _WHY.get(way.choice, "Why?"))


def _scope(way: DecideChoice, session: Session, about: Question) -> Part:
    """The ways that start over can reach, each with its cost; and what comes first, where it is more than one bolt."""
    reached = numbered({s: _REACH[s] for s in way.scopes})
    if session.plan.late:
        return Part("scope", "Started over with which bolts?", "choice", reached)
    plan, progress, renew = session.plan, session.progress, way.choice == "new fastener"
    costs = [of_starting_over(plan, progress, about.positions, about.step, s, renew=renew) for s in way.scopes]
    first = ""
    if any(cost.loosens > 1 for cost in costs):
        first = " All are loosened before any is tightened."
    elif any(cost.lets_down > 1 for cost in costs):
        first = " All are let down before any is tensioned."
    choices = _with_costs(reached, costs)
    return Part("scope", f"Start over with which bolts?{first}", "choice", choices)


def _usual(way: DecideChoice, about: Question) -> str:
    """The usual reasons for it: those of the way, else those of what is asked about."""
    if way.choice == "concession" and not about.positions:  # another fastener would change nothing
        return "as measured" if about.cause in _MEASURED else "decision"
    if way.choice in ("hold", "concession", "abandon", "go back", "the whole joint again"):
        return way.choice
    if about.cause in ("zero wrong", "zero unknown"):
        return "another tool"
    return about.cause if about.cause in OF_PARTS else "decision"


def _with_costs(choices: tuple[Choice, ...], costs: Sequence[Cost]) -> tuple[Choice, ...]:
    return tuple(replace(choice, costs=cost.told) for choice, cost in zip(choices, costs, strict=True))


def missing(session: Session, way: DecideChoice, answer: Resolve) -> str | None:
    """A sentence about the first part that is missing or does not fit."""
    if "scope" in way.needs and answer.scope not in way.scopes:
        return f"Choose with which bolts to start over: {', '.join(way.scopes)}."
    if "back to" in way.needs and answer.back_to not in [number for number, _ in way.back_to]:
        return f"Choose the stage: {', '.join(str(number) for number, _ in way.back_to)}."
    if session.plan.late:  # what a form does not say of it is missing in the record too
        return None
    if "reason" in way.needs and not (answer.reason or "").strip():
        return "Give a reason. It goes into the record."
    if "person" in way.needs:
        if answer.person is None:
            return "Name a second person who accepts it."
        why = second_person(session.progress.shares, session.progress.at_it, answer.person.id)
        if why is not None:
            return f"{did(answer.person.name, why)}. Ask a second person, or put the run on hold."
    return None


def _not_by(session: Session, worked: Collection[str]) -> str:
    """Say whom it cannot be, " (not Ines)"."""
    names = [one.name for one in session.people if one.id in worked]
    return f" (not {', not '.join(names)})" if names else ""
