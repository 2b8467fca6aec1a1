"""Another person goes on, and perhaps a second one does the work."""

from __future__ import annotations

from msgspec.structs import replace

from clampbook.ledger.stamp import Stamp
from clampbook.people import Person
from clampbook.run import events as e
from clampbook.run.answers import Accepted, HandTo, Refused
from clampbook.run.fold.acts import Act
from clampbook.run.fold.frames import look_back, pull_at_hand
from clampbook.run.fold.independence import vouched_before
from clampbook.run.fold.line import Line
from clampbook.run.fold.tools import zero_again
from clampbook.run.gather.asking import person
from clampbook.run.gather.draft import Draft
from clampbook.run.kinds.kind import Next, Outcome, Tools
from clampbook.run.kinds.stamping import common
from clampbook.run.plan import Plan
from clampbook.run.progress import Progress
from clampbook.run.prompts import Prompt
from clampbook.run.session import Session


def complete(prompt: Prompt, session: Session, draft: Draft) -> Next:
    """Ask who goes on, and whose hands do the work."""
    del prompt
    to = draft.person("person")
    if to is None:
        return person("person", "Who goes on?", session)
    if not draft.has("hands"):
        return person("hands", "Does another person do the work with their hands?", session, nobody="nobody else")
    return HandTo(to, draft.person("hands"))


def decide(session: Session, prompt: Prompt, answer: HandTo, stamp: Stamp) -> Outcome:
    """To somebody who is not at it already."""
    to, hands = answer.to, answer.hands
    if to.id == session.progress.by and (hands.id if hands else None) == session.progress.hands:
        return Refused(f"{to.name} is doing this already.")
    looked = vouched_before(session.progress.shares, (to, hands))
    return Accepted(e.HandedOver(**common(session, stamp, prompt), to=to, hands=hands, looked=looked))


def fold(plan: Plan, progress: Progress, event: e.HandedOver) -> Progress:
    """Whoever goes on is asked how the step at hand is found, and looks back."""
    hands = event.hands.id if event.hands else None
    taken_over = replace(progress, by=event.to.id, hands=hands, found=None)
    asked = replace(taken_over, ask_state=pull_at_hand(plan, taken_over))
    return look_back(plan, zero_again(asked))


def acts(line: Line, event: e.HandedOver) -> tuple[Act, ...]:
    """Nothing is done on the work itself."""
    del line, event
    return ()


def tell(event: e.HandedOver, plan: Plan, tools: Tools) -> str:
    """To whom."""
    del plan, tools
    with_hands = f", the work done by {event.hands.name}" if event.hands is not None else ""
    return f"Handed over to {event.to.name}{with_hands}.{vouched(event.looked)}"


def vouched(people: tuple[Person, ...]) -> str:
    """Warn whoever vouched as another person before they lay hands on the work."""
    told = "vouched for this run as another person. Whoever pulls now is no other person: the record will say so."
    return "".join(f" {one.name} {told}" for one in people)
