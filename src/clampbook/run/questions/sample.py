"""A sample is drawn: who inspects, and the number that decides with the daybook's last line which bolts are looked at.

It is drawn once, before anybody looks. Whoever is alone at the keyboard can still try numbers before: the prompt says
so, and so do the records' pages.
"""

from __future__ import annotations

from typing import assert_never

from msgspec.structs import replace

from clampbook import text as foreign
from clampbook.ledger.stamp import Stamp
from clampbook.procedure.model import Sample, Stage, sample_of
from clampbook.run import events as e
from clampbook.run.answers import Accepted, Answer, Draw, Plus, Refused, Value
from clampbook.run.fold.acts import Act
from clampbook.run.fold.frames import advance
from clampbook.run.fold.independence import still_apart, tie, tied
from clampbook.run.fold.line import Line
from clampbook.run.fold.sampling import drawn, in_order
from clampbook.run.gather.asking import again, did, person, reason
from clampbook.run.gather.draft import Draft, Part
from clampbook.run.gather.keys import Keys
from clampbook.run.kinds.kind import Outcome, Tools
from clampbook.run.kinds.stamping import common
from clampbook.run.plan import Plan
from clampbook.run.progress import Progress
from clampbook.run.prompts import Choice, DrawSample
from clampbook.run.session import Session
from clampbook.run.told.places import bolts_named, where, within_a_sentence
from clampbook.run.told.words import Field, Words

_LONGEST_NUMBER = 40


def ask(session: Session, index: int, stage: Stage, sample: Sample) -> DrawSample:
    """Ask who inspects, before the first step of the stage."""
    place = replace(where(session.plan, session.progress, index), position=None, point=None, fits=None, kind="")
    size, of = sample.of(len(stage.positions)), len(stage.positions)
    progress = session.progress
    last = still_apart(progress.inspector, progress.shares, progress.at_it)
    return DrawSample(place, size, of, sample.then, last)


def keys(prompt: DrawSample) -> Keys:
    """A name; + for whoever inspected last."""
    last = () if prompt.last is None else (Choice("+", again(prompt.last), "same", Plus()),)
    return Keys(last, types="text", wanted="your name or its number", deliberate=True, people=True)


def words(prompt: DrawSample) -> Words:
    """Tell how many of how many are drawn, and what becomes of it where one fails."""
    match prompt.then:
        case "as many again":
            many = "one more is" if prompt.size == 1 else f"{prompt.size} more are"
            more = f"if one fails, {many} drawn"
        case "all":
            more = "if one fails, all are inspected"
        case _ as never:
            assert_never(never)
    return Words(
        f"Sample: {prompt.size} of {prompt.of} {_bolts(prompt)}. Inspector, type your name.",
        ("alone one could try numbers: let someone else name one", more),
        field=Field("number or name"),
        picture=True,
        terms=("another person",),
    )


def _bolts(prompt: DrawSample) -> str:
    return within_a_sentence(prompt.where.group or "bolts")


def complete(prompt: DrawSample, session: Session, begun: Answer, draft: Draft) -> Part | Refused | Answer:
    """Ask who inspects, why that is no other person, and for the number."""
    if not isinstance(begun, Value | Plus):
        return begun
    inspector = prompt.last if isinstance(begun, Plus) else draft.person("person")
    shares, at_it = session.progress.shares, session.progress.at_it
    if inspector is None:
        return person("person", "Who inspects?", session, worked=tied(shares, at_it))
    why = tie(shares, at_it, inspector.id)
    if why is not None and not draft.has("reason"):
        return reason("same person", f"{did(inspector.name, why)}. Why not another person?")
    if not draft.has("number"):
        return Part("number", f"{inspector.name}, type any whole number. It draws the sample.", "number")
    return Draw(draft.text("number"), inspector, draft.text("reason") or None)


def decide(session: Session, prompt: DrawSample, answer: Answer, stamp: Stamp) -> Outcome:
    """Draw it."""
    if not isinstance(answer, Draw):
        return Refused("Type the inspector's name first.")
    number = foreign.clean(answer.number, what="the number").strip()
    if not (number.isascii() and number.isdecimal()) or len(number) > _LONGEST_NUMBER:
        return Refused(f"Type a whole number, {_LONGEST_NUMBER} digits at most.")
    stage = session.plan.stages[prompt.where.stage - 1]
    independent = tie(session.progress.shares, session.progress.at_it, answer.inspector.id) is None
    if not independent and not (answer.reason or "").strip():
        return Refused(f"{answer.inspector.name} did this work. Ask a second person, or give a reason.")
    order = in_order(stamp.after, number, stage.positions)
    return Accepted(
        e.SampleDrawn(
            **common(session, stamp, prompt),
            stage=prompt.where.stage,
            person=answer.inspector,
            independent=independent,
            number=number,
            sample=order[: prompt.size],
            if_one_fails=order[prompt.size :],
            reason=foreign.clean(answer.reason, what="the reason") if answer.reason else None,
        )
    )


def fold(plan: Plan, progress: Progress, event: e.SampleDrawn) -> Progress:
    """It stands for the whole run, whatever is done again."""
    sample = sample_of(plan.stages[event.stage - 1])
    then = sample.then if sample is not None else "as many again"
    found = drawn((*event.sample, *event.if_one_fails), len(event.sample), then, event.person, event.reason)
    of_it = replace(
        progress,
        samples=progress.samples.insert(event.stage, found),
        inspector=event.person,
        deviations=progress.deviations + (not event.independent),
    )
    return advance(plan, of_it)


def acts(line: Line, event: e.SampleDrawn) -> tuple[Act, ...]:
    """Nothing is done on the work itself."""
    del line, event
    return ()


def tell(event: e.SampleDrawn, plan: Plan, tools: Tools) -> str:
    """Tell which bolts were drawn, by whom and with which number."""
    del tools
    stage = plan.stages[event.stage - 1]
    group = plan.group_named.get(stage.group or "")
    bolts = within_a_sentence(bolts_named(stage.group, event.sample, group.one if group else None))
    return f"Sample drawn: {bolts}. {event.person.name}, number {event.number}."
