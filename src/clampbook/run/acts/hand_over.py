"""Another person takes over, and perhaps a second one pulls."""

from __future__ import annotations

from msgspec.structs import replace

from clampbook.ledger.stamp import Stamp
from clampbook.people import NOT_NAMED, Person
from clampbook.run import events as e
from clampbook.run.answers import Accepted, HandTo, PaperTime, Refused
from clampbook.run.fold.acts import Act
from clampbook.run.fold.frames import look_back, pull_at_hand
from clampbook.run.fold.independence import vouched_before
from clampbook.run.fold.line import Line
from clampbook.run.fold.tools import zero_again
from clampbook.run.gather.asking import person
from clampbook.run.gather.draft import Draft, Part
from clampbook.run.kinds.kind import Next, Outcome, Tools
from clampbook.run.kinds.stamping import aside
from clampbook.run.plan import Plan
from clampbook.run.progress import Progress
from clampbook.run.prompts import PaperTime as AskedForTime
from clampbook.run.prompts import Prompt
from clampbook.run.session import Session


def complete(prompt: Prompt, session: Session, draft: Draft) -> Next:
    """Ask who takes over, and who pulls; whoever is at it stays only where somebody else pulls from now on."""
    if session.plan.late:
        return _initials(prompt, session, draft)
    here = next((one for one in session.people if one.id == session.progress.by), None)
    if not draft.has("person"):
        stays = None if here is None else f"nobody: {here.name} stays, another person pulls"
        return person("person", "Who takes over?", session, nobody=stays, of=_all_but(session, here))
    to = draft.person("person") or here
    if to is None:
        return Refused("Nobody takes over. Nothing changed.")
    if not draft.has("done_by"):
        return _who_pulls(session, to)
    return HandTo(to, draft.person("done_by"))


def _initials(prompt: Prompt, session: Session, draft: Draft) -> Next:
    """Of a form that is typed in: whoever types stays, and what follows was done by the person of other initials."""
    if isinstance(prompt, AskedForTime):
        return Refused("Type the time first. The initials are asked with it.")
    if not draft.has("person"):
        return person("person", "Whose initials stand there?", session, nobody="none")
    return PaperTime(done_by=draft.person("person") or NOT_NAMED)


def _who_pulls(session: Session, to: Person) -> Part:
    if to.id != session.progress.by:
        others = _all_but(session, to)
        return person("done_by", "Does someone else pull?", session, nobody="no one else", of=others)
    pulled = next((one for one in session.people if one.id == session.progress.hands), None)
    alone = None if pulled is None else to.name
    return person("done_by", "Who pulls now?", session, nobody=alone, of=_all_but(session, to, pulled))


def _all_but(session: Session, *left_out: Person | None) -> tuple[Person, ...]:
    return tuple(one for one in session.people if one not in left_out)


def decide(session: Session, prompt: Prompt, answer: HandTo, stamp: Stamp) -> Outcome:
    """To somebody who is not at it already."""
    to, hands = answer.to, answer.hands
    if to.id == session.progress.by and (hands.id if hands else None) == session.progress.hands:
        return Refused(f"{to.name} has this run already.")
    looked = vouched_before(session.progress.shares, (to, hands))
    return Accepted(e.HandedOver(**aside(session, stamp, prompt), to=to, done_by_person=hands, looked=looked))


def fold(plan: Plan, progress: Progress, event: e.HandedOver) -> Progress:
    """The person who takes over is asked how the step at hand is found, and looks back."""
    hands = event.done_by_person.id if event.done_by_person else None
    taken_over = replace(progress, by=event.to.id, hands=hands, found=None)
    asked = replace(taken_over, ask_state=pull_at_hand(plan, taken_over))
    return look_back(plan, zero_again(plan, asked))


def acts(line: Line, event: e.HandedOver) -> tuple[Act, ...]:
    """Nothing is done on the work itself."""
    del line, event
    return ()


def tell(event: e.HandedOver, plan: Plan, tools: Tools) -> str:
    """To whom."""
    del plan, tools
    pulls = f" {event.done_by_person.name} pulls." if event.done_by_person is not None else ""
    return f"{event.to.name} takes over.{pulls}{vouched(event.looked)}"


def vouched(people: tuple[Person, ...]) -> str:
    """Warn whoever vouched as another person before they lay hands on the work."""
    told = "was the second person in this run. The record will say if"
    return "".join(f" {one.name} {told} {one.name} pulls now." for one in people)
