"""The time that stands on a paper form at the beginning of a round, and who did it from there on."""

from __future__ import annotations

from dataclasses import replace as with_
from datetime import datetime
from typing import Literal

from msgspec.structs import replace

from clampbook.ledger.stamp import Stamp, clock_there, in_utc, offset_of
from clampbook.people import NOT_NAMED
from clampbook.run import events as e
from clampbook.run.answers import Accepted, Answer, PaperTime, Plus, Refused, Value
from clampbook.run.fold.acts import Act
from clampbook.run.fold.line import Line
from clampbook.run.fold.passes import round_at
from clampbook.run.fold.tools import as_if_picked_up, serving_no_pull
from clampbook.run.gather.asking import whose_initials
from clampbook.run.gather.draft import NONE, Draft, Part
from clampbook.run.gather.keys import Keys
from clampbook.run.kinds.kind import Outcome, Tools
from clampbook.run.kinds.stamping import common
from clampbook.run.on_form.now_typed import earlier_on_form, typed_on_form
from clampbook.run.plan import Plan
from clampbook.run.progress import Progress
from clampbook.run.prompts import Choice, Prompt
from clampbook.run.prompts import PaperTime as Asked
from clampbook.run.session import Session, moment
from clampbook.run.told.places import position_of, within_a_sentence
from clampbook.run.told.words import Field, Words

_SAME = "same"


def keys(prompt: Asked) -> Keys:
    """A time; or that none stands there, or, at the beginning, that it is the one before: no round ends with that."""
    last = Choice("+", f"{clock_there(prompt.last, prompt.offset)}, as before", _SAME, PaperTime())
    return Keys(
        (
            *(() if prompt.until else (last,)),
            Choice(NONE, "no time stands there", "none", PaperTime(blank=True)),
        ),
        "number",
        "the time",
        strays=False,
    )


def words(prompt: Asked) -> Words:
    """Of which round, its beginning or its end."""
    where = prompt.where
    round_no = f", round {where.round}" if where.rounds > 1 else ""
    asked = f"what time stands at {'To' if prompt.until else 'From'} on the form?"
    return Words(f"Stage {where.stage_told}{round_no}: {asked}", field=Field("time"))


def complete(prompt: Asked, session: Session, begun: Answer, draft: Draft) -> Part | Refused | Answer:
    """Take what was typed as the time; whose initials stand there is asked with another time, and at the beginning."""
    told = PaperTime(begun.text) if isinstance(begun, Value) else begun
    if not isinstance(told, PaperTime) or (told.text is None and session.progress.timed is not None):
        return told
    if prompt.until:
        return Refused(refused) if isinstance(refused := _checked(session, told), str) else told
    if isinstance(checked := _checked(session, told), str):
        return Refused(checked)
    if not draft.has("person"):
        return _whose(session)
    same = draft.text("person") == _SAME
    return replace(told, done_by=None if same else draft.person("person") or NOT_NAMED)


def _whose(session: Session) -> Part:
    """Ask for the initials there: somebody of the book, or no name at all."""
    hands = session.progress.hands
    before = next((one for one in session.people if one.id == hands), None)
    same = () if before is None else (Choice("+", f"{before.name}, as before", _SAME),)
    asked = whose_initials(session)
    return with_(asked, choices=(*same, *asked.choices))


def decide(session: Session, prompt: Asked, answer: Answer, stamp: Stamp) -> Outcome:
    """The time of all lines from here on; times on paper rise, and lie before now."""
    if isinstance(answer, Plus) and not prompt.until:
        answer = PaperTime()
    if not isinstance(answer, PaperTime):
        return Refused("Type the time on the form, such as 9:14. Press + for the same as before.")
    return timed(session, prompt, answer, stamp, prompt.where.id)


def timed(session: Session, prompt: Prompt, answer: PaperTime, stamp: Stamp, step: str | None) -> Outcome:
    """The line of a time, which stands there as its own."""
    fields = common(session, stamp, prompt)
    if answer.out_of_order:
        stands = earlier_on_form(session, answer.text or "")
        if stands is None:
            return Refused("This time is not before the last one.")
        beside = None if isinstance(prompt, Asked) else getattr(getattr(prompt, "where", None), "id", None)
        return Accepted(e.PaperTime(**fields, step=beside, stands=in_utc(stands)))
    at = _checked(session, answer, stamp.typed)
    if isinstance(at, str):
        return Refused(at)
    if at is not None:
        fields["at"], fields["offset"] = in_utc(at), offset_of(at)
    until: Literal[True] | None = True if isinstance(prompt, Asked) and prompt.until else None
    blank: Literal[True] | None = True if answer.blank else None
    return Accepted(e.PaperTime(**fields, step=step, done_by_person=answer.done_by, until=until, blank=blank))


def _checked(session: Session, answer: PaperTime, now: datetime | None = None) -> datetime | str | None:
    """The moment that was typed; None where it is the one before, and a sentence where it is none."""
    return None if answer.text is None else typed_on_form(session, answer.text, now)


def fold(plan: Plan, progress: Progress, event: e.PaperTime) -> Progress:
    """A round begins, or ends: with a new stage its tools stand there again."""
    if event.done_by_person is not None:
        progress = replace(progress, hands=event.done_by_person.id)
    if event.step is None or event.stands is not None:
        return progress
    step = plan.steps[plan.index_of[event.step]]
    if event.until:
        return _ended(progress, step.stage, event.at)
    here = (step.stage, round_at(plan, progress, plan.index_of[event.step]))
    before, progress = progress.timed, replace(progress, timed=here, timed_from=event.at, timed_to=None)
    if before is None or before[0] != step.stage:
        return serving_no_pull(as_if_picked_up(progress))
    return progress


def _ended(progress: Progress, stage: int, at: str) -> Progress:
    """The end of a round is that of its stage so far, and of its last pull if it had one: what counts from them counts
    from there."""
    pulled = progress.last_pull is not None and moment(progress.last_pull) >= moment(progress.timed_from)
    ended = progress.ended_at.insert(stage, at) if stage in progress.ended_at else progress.ended_at
    last_pull = at if pulled else progress.last_pull
    return replace(progress, timed_to=progress.timed, ended_at=ended, last_pull=last_pull)


def acts(line: Line, event: e.PaperTime) -> tuple[Act, ...]:
    """Nothing is done on the work itself."""
    del line, event
    return ()


def tell(event: e.PaperTime, plan: Plan, tools: Tools) -> str:
    """The time at the place, and other initials; those alone where they were told beside a row."""
    del tools
    if event.stands is not None:
        beside = "" if event.step is None else f" stands beside {within_a_sentence(position_of(event.step, plan))}"
        return f"Out of order: {clock_there(event.stands, event.offset)}{beside}."
    person = event.done_by_person
    nobody = person is not None and person.id == NOT_NAMED.id
    if event.step is None and person is not None:
        return "No initials on the form." if nobody else f"Initials: {person.name}."
    who = "" if person is None else ", no initials" if nobody else f", {person.name}"
    if event.blank:
        return f"{'Until' if event.until else 'Time'} on the form: none{who}."
    return f"{'Until' if event.until else 'Time'} on the form: {clock_there(event.at, event.offset)}{who}."
