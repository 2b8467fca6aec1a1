"""Every judged line of a run, answered once more: what was typed must still give the value, window and verdict it gave.

The fold trusts what a line says; here nothing is trusted but what was typed, the plan, and the tools as they were kept.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import datetime
from typing import assert_never

from msgspec import structs

from clampbook import units
from clampbook.ledger.stamp import Stamp
from clampbook.procedure.model import Inspect
from clampbook.run import answers as a
from clampbook.run import events as e
from clampbook.run.answers import Accepted
from clampbook.run.decide import decide
from clampbook.run.fold.apply import apply, begin
from clampbook.run.fold.independence import (
    CONCESSION,
    LOOKED_BEFORE,
    MEANINGS,
    looked_before,
    meaning_of_look,
    second_person,
)
from clampbook.run.fold.measured import only_apart
from clampbook.run.fold.pulls import OUT_OF_TURN
from clampbook.run.next_prompt import prompt
from clampbook.run.plan import Plan
from clampbook.run.progress import Progress
from clampbook.run.prompts import Prompt
from clampbook.run.questions.items import beside_the_first_run, end_items, start_items
from clampbook.run.questions.signing import asked_for, meaning_of
from clampbook.run.questions.state_after_break import FROM_ITS_MARK
from clampbook.run.session import BETWEEN_LINES, Session
from clampbook.work.daybook import MISFIT, OUT_OF_PLACE

Judged = (
    e.ReadingTaken
    | e.Clicked
    | e.Confirmed
    | e.Turned
    | e.PrevailingRead
    | e.Measured
    | e.Rechecked
    | e.Corrected
    | e.SampleDrawn
    | e.Voided
)
_FIGURES = (
    "step",
    "value",
    "unit",
    "at_fastener",
    "window",
    "verdict",
    "sum",
    "result",
    "set_to",
    "spread",
    "counts",
    "outside",
    "stage",
    "independent",
    "number",
    "sample",
    "if_one_fails",
)
_ASKED_OPENLY = "unit"  # number and unit were typed, after an unusual value that not every line keeps


def recounted(plan: Plan, events: Sequence[e.Event]) -> Iterator[tuple[int, str]]:
    """A line's number and a sentence for each line that holds another figure than its answer gives.

    Ends at the first line that cannot have come at its place: what follows it has no ground.
    """
    progress = begin(plan)
    for event in events:
        try:
            if isinstance(event, Judged) and not (isinstance(event, e.Voided) and event.of is not None):
                yield from ((event.seq, told) for told in _other(plan, progress, event))
            yield from ((event.seq, told) for told in _who(plan, progress, event))
            yield from ((event.seq, told) for told in _meter(plan, progress, event))
            progress = apply(plan, progress, event)
        except MISFIT:
            yield event.seq, OUT_OF_PLACE
            return


def _other(plan: Plan, progress: Progress, event: Judged) -> Iterator[str]:
    again = _again(plan, progress, event)
    if again is None:
        yield "no answer that could be given at this place makes this line"
        return
    for name in _FIGURES:
        held, made = getattr(event, name, None), getattr(again, name, None)
        if held != made:
            yield f"{name} is {_shown(held)}, but what was typed gives {_shown(made)}"


def _who(plan: Plan, progress: Progress, event: e.Event) -> Iterator[str]:
    """Yield a sentence where whoever vouches in this line is not told apart from those who did the work as
    the lines before have it.
    """
    if isinstance(event, e.Inspected) and event.inspector is None and not plan.late and _at_a_hold_point(plan, event):
        yield "nobody is named who looked at a hold point"
    if isinstance(event, e.Inspected) and event.inspector is not None:
        yield from _meaning(event.meaning, meaning_of_look(progress.shares, progress.at_it, event.inspector.id))
    if isinstance(event, e.SignedOff) and event.meaning in MEANINGS:
        role = next((each for each in plan.sign_off if each.role == event.role), None)
        if role is None:
            yield f"the procedure asks nobody to sign as {event.role}"
        else:
            yield from _meaning(event.meaning, meaning_of(asked_for(plan, progress, role), event.person.id))
    if isinstance(event, e.Decided) and event.choice == CONCESSION and event.person is None and not plan.late:
        yield "a concession names nobody who accepts it"
    if isinstance(event, e.Decided) and event.choice == CONCESSION and event.person is not None:
        yield from _meaning(event.meaning, CONCESSION)
        why = second_person(progress.shares, progress.at_it, event.person.id)
        if why is not None and not plan.late:  # a form says what was done, to the procedure or not
            yield f"{event.person.name} {why}, and accepts it by concession all the same"
    if looked_before(progress.shares, event) != (LOOKED_BEFORE in event.noted):
        yield "whether somebody works here who vouched as another person before is not told as the lines have it"


def _meter(plan: Plan, progress: Progress, event: e.Event) -> Iterator[str]:
    """Yield a sentence where what a meter showed at the first run is not what the first line says."""
    if isinstance(event, e.Asked):
        item = next((each for each in (*start_items(plan), *end_items(plan)) if each.item == event.item), None)
        then = None if item is None else beside_the_first_run(progress, item).before
        made = None if then is None or event.typed is None else units.plain(then)
        if event.before != made:
            yield f"before is {_shown(event.before)}, but the first line gives {_shown(made)}"


def _at_a_hold_point(plan: Plan, event: e.Inspected) -> bool:
    stage = plan.stage_of(plan.steps[plan.index_of[event.step]])
    return event.work is None and isinstance(stage, Inspect) and stage.hold_point


def _meaning(held: str | None, made: str) -> Iterator[str]:
    if held != made:
        yield f"meaning is {_shown(held)}, but who pulled, typed and signed gives {made}"


def _again(plan: Plan, progress: Progress, event: Judged) -> e.Event | None:
    """The line that the same answer makes; None where it makes none of this kind."""
    stamp = Stamp(datetime.fromisoformat(event.at), event.offset, event.by, event.done_by, event.prev)
    for unusual in dict.fromkeys((getattr(event, "unusual", None), _ASKED_OPENLY, BETWEEN_LINES)):
        step = getattr(event, "step", None)
        open_one = (unusual, step) if unusual is not None and step is not None else None
        session = Session(plan, progress, exempt=True, unusual=open_one)
        asked = prompt(session)
        outcome = decide(session, _answer(session, asked, event), stamp, asked)
        if isinstance(outcome, Accepted):
            return _as_of_old(event, outcome.event) if type(outcome.event) is type(event) else None
    return None


def _as_of_old(event: Judged, again: e.Event) -> e.Event:
    """A corrected point was once judged by its window alone, and its line says nothing of the other points."""
    if not isinstance(again, e.Corrected) or not isinstance(event, e.Corrected) or event.spread is not None:
        return again
    return structs.replace(again, spread=None, verdict="within" if only_apart(again) else again.verdict)


def _answer(session: Session, asked: Prompt, event: Judged) -> a.Answer:
    """Give what was answered when this line was written."""
    match event:
        case e.Corrected():
            return a.Correct(event.typed, event.known, event.of, event.person)
        case e.SampleDrawn():
            return a.Draw(event.number, event.person, event.reason)
        case e.Confirmed():
            return a.DoneUpTo(session.plan.steps[session.plan.index_of[event.last]].position or "")
        case e.Rechecked(mark=str() as mark):
            return a.AtMark(mark)
        case e.Rechecked(typed=str() as typed, moved=None) if event.pass_no:
            return a.Value(typed)
        case e.Rechecked() if event.pass_no:
            return a.Still(bool(event.moved), event.typed)
        case e.Turned() if FROM_ITS_MARK in event.noted:
            return a.Found("started, mark still there", event.sum)
        case e.Voided():
            return _voided(session, event)
        case e.Clicked():
            text = None
        case e.ReadingTaken() | e.Turned() | e.Measured() | e.PrevailingRead() | e.Rechecked():
            text = event.typed
        case _ as never:
            assert_never(never)
    place = getattr(asked, "where", None)
    if place is not None and place.id != event.step:
        position = session.plan.steps[session.plan.index_of[event.step]].position
        return a.PulledAnother(position or "", text)
    return a.Plus() if text is None else a.Value(text)


def _voided(session: Session, event: e.Voided) -> a.Answer:
    """A pull that did not count, and was never stored as one that did: a bad one, or one on another position."""
    if event.cause not in OUT_OF_TURN:
        return a.BadPull(event.cause, event.typed, event.clicked)
    position = session.plan.steps[session.plan.index_of[event.step]].position
    return a.PulledAnother(position or "", event.typed, event.clicked)


def _shown(value: object) -> str:
    match value:
        case None:
            return "nothing"
        case (low, high):
            return f"{_shown(low)} to {_shown(high)}"
        case _:
            return str(value)
