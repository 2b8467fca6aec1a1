"""Looking: a question answered yes or no, at a hold point by another person, who signs; also where work is inserted."""

from __future__ import annotations

from msgspec.structs import replace

from clampbook import text as foreign
from clampbook.ledger.stamp import Stamp
from clampbook.procedure.model import Align
from clampbook.procedure.model import Inspect as Stage
from clampbook.run import events as e
from clampbook.run.answers import Accepted, Answer, Look, Refused
from clampbook.run.fold.acts import AS_EXPECTED, NOT_AS_EXPECTED, Act
from clampbook.run.fold.fastener import LOOSE, not_known, taken_out
from clampbook.run.fold.frames import ask as ask_about
from clampbook.run.fold.frames import finish_work, pass_gate
from clampbook.run.fold.independence import SAME_PERSON, given, meaning_of_look, still_apart, tie, tied
from clampbook.run.fold.line import Line
from clampbook.run.fold.pulls import settle
from clampbook.run.gather.asking import labels, person, reason
from clampbook.run.gather.draft import Draft, Part
from clampbook.run.gather.keys import Keys
from clampbook.run.kinds.kind import YES_OR_NO, Outcome, Paper, Planned, Tools
from clampbook.run.kinds.stamping import common
from clampbook.run.plan import Plan
from clampbook.run.progress import NO_ONE_POSITION, Progress, Question, standing
from clampbook.run.prompts import Choice, Inspect
from clampbook.run.session import Session
from clampbook.run.told.places import bolt, bolt_at, position_of, where
from clampbook.run.told.samples import limits
from clampbook.run.told.words import Facts, Words
from clampbook.text import started

_YES_OR_NO = (
    Choice("1", "yes", "yes", Look("yes"), ("y", "yes")),
    Choice("2", "no", "no", Look("no"), ("n", "no")),
)


def plan(stage: Stage, _: str) -> Planned:
    """At each position, or once for all of them."""
    return Planned("each" if stage.asked == "each" and stage.positions else "once")


def ask(session: Session, index: int, stage: Stage) -> Inspect:
    """Ask the stage's question; where all positions are looked at once, those that are not as expected can be named."""
    step = session.plan.steps[index]
    candidates = stage.positions if step.position is None else ()
    place = where(session.plan, session.progress, index)
    return Inspect(place, stage.ask, stage.expect, stage.hold_point, None, step.position, candidates)


def keys(prompt: Inspect) -> Keys:
    """Yes or no; at a hold point with its Enter."""
    return Keys(_YES_OR_NO, deliberate=prompt.hold_point)


def words(prompt: Inspect) -> Words:
    """The question; what is expected is never shown before the answer."""
    named = prompt.position or prompt.where.position
    asked = f"{bolt(prompt.where)}: {prompt.ask}" if named not in (None, NO_ONE_POSITION) else _at_the_joint(prompt)
    return Words(
        f"Hold point. Another person looks and answers: {asked}" if prompt.hold_point else asked,
        about=() if prompt.position in (None, NO_ONE_POSITION) else (prompt.position,),
        picture=True,
        terms=("another person",) if prompt.hold_point else (),
        facts=Facts(work=prompt.work.replace(" ", "_") if prompt.work is not None else None),
    )


def _at_the_joint(prompt: Inspect) -> str:
    """The question about a joint as a whole; inserted work names it, as a stage's question does by itself."""
    joint = prompt.where.joint
    return prompt.ask if joint is None or prompt.work is None else f"{joint}: {prompt.ask}"


def complete(prompt: Inspect, session: Session, begun: Answer, draft: Draft) -> Part | Refused | Answer:
    """Ask which positions are not so; at a hold point who looked, and why if that is no other person."""
    if not isinstance(begun, Look):
        return begun
    if begun.answer != prompt.expect and prompt.candidates and not draft.has("positions"):
        return Part("positions", "Where not? Type the positions.", "positions", labels(prompt.candidates))
    looked = replace(begun, positions=draft.positions("positions"))
    if not prompt.hold_point:
        return looked
    shares, at_it = session.progress.shares, session.progress.at_it
    sample = session.progress.samples.get(prompt.where.stage)
    inspector = draft.person("person") if sample is None else sample.inspector
    if inspector is None:
        last = still_apart(session.progress.inspector, shares, at_it)
        return person("person", "Who looked?", session, worked=tied(shares, at_it), last=last)
    why = tie(shares, at_it, inspector.id)
    given_before = sample.reason if sample is not None else None
    if why is not None and not draft.has("reason") and given_before is None:
        return reason("same person", f"{inspector.name} worked in this run ({why}). Why does no other person look?")
    return replace(looked, inspector=inspector, reason=draft.text("reason") or given_before)


def decide(session: Session, prompt: Inspect, answer: Answer, stamp: Stamp) -> Outcome:
    """A look, its answer, and at a hold point who looked."""
    if not isinstance(answer, Look):
        return Refused("Look first, then answer 1 yes or 2 no.")
    if prompt.work == "look back":
        as_left = answer.answer == prompt.expect
        return Accepted(e.LookedBack(**common(session, stamp, prompt), position=prompt.position or "", as_left=as_left))
    strangers = [foreign.printable(position) for position in answer.positions if position not in prompt.candidates]
    if strangers:
        there = ", ".join(prompt.candidates) or "the positions asked about"
        return Refused(f"{', '.join(strangers)} is not among {there}.")
    if prompt.hold_point:
        meaning = _meaning(session, answer)
        if isinstance(meaning, Refused):
            return meaning
        return Accepted(_looked(session, prompt, answer, stamp, meaning))
    return Accepted(_looked(session, prompt, replace(answer, inspector=None), stamp, None))


def _meaning(session: Session, answer: Look) -> str | Refused:
    """Give the meaning of the signature of whoever looked; a reason is wanted where that is no other person."""
    if answer.inspector is None:
        return Refused("This is a hold point. Say who looked, or put the run on hold.")
    shares, at_it = session.progress.shares, session.progress.at_it
    meaning = meaning_of_look(shares, at_it, answer.inspector.id)
    if meaning == SAME_PERSON and not (answer.reason or "").strip():
        why = tie(shares, at_it, answer.inspector.id)
        return Refused(f"{answer.inspector.name} did this work ({why}). Ask a second person, or give a reason.")
    return meaning


def _looked(session: Session, prompt: Inspect, answer: Look, stamp: Stamp, meaning: str | None) -> e.Inspected:
    as_expected = answer.answer == prompt.expect
    signer = answer.inspector
    assert prompt.work != "look back"
    return e.Inspected(
        **common(session, stamp, prompt),
        step=prompt.where.id,
        answer=answer.answer,
        as_expected=as_expected,
        positions=() if as_expected else answer.positions,
        work=prompt.work,
        position=prompt.position,
        inspector=signer,
        meaning=meaning,
        reason=foreign.clean(answer.reason, what="the reason") if answer.reason else None,
        key=session.keys.get(signer.id) if signer is not None else None,
    )


def fold(plan: Plan, progress: Progress, event: e.Inspected | e.LookedBack) -> Progress:
    """As expected goes on; if not, it is asked about the positions that were named."""
    if isinstance(event, e.LookedBack):
        return _looked_back(plan, progress, event)
    if event.inspector is not None:
        progress = replace(progress, inspector=event.inspector)
    if event.meaning == SAME_PERSON:
        progress = replace(progress, deviations=progress.deviations + 1)
    if event.work is not None:
        return _at_work(plan, progress, event)
    index = plan.index_of[event.step]
    step = plan.steps[index]
    if event.as_expected:
        if step.position is None:
            return pass_gate(plan, progress)
        state = standing(progress, step.position)
        if isinstance(plan.stage_of(step), Align):  # what locks the nut is in
            there = progress.locked.get(step.position, 0)
            progress = replace(progress, locked=progress.locked.insert(step.position, there + 1))
        return settle(plan, progress, index, state, state.outcome or "confirmed")
    named = event.positions or ((step.position,) if step.position else ())
    return ask_about(progress, Question(cause="not as expected", about=event.seq, step=index, positions=named))


def _at_work(plan: Plan, progress: Progress, event: e.Inspected) -> Progress:
    """A look before a position is started over: what was taken out, or fitted anew."""
    position = event.position or NO_ONE_POSITION
    if not event.as_expected:
        index = plan.index_of[event.step]
        asked = Question(cause="not as expected", about=event.seq, step=index, positions=(position,))
        return ask_about(progress, asked)
    if event.work == "settle":
        progress = replace(progress, settled=progress.settled + 1)
    if event.work == "stub out":
        out = replace(standing(progress, position), fastener=taken_out())
        progress = replace(progress, positions=progress.positions.insert(position, out))
    if event.work == "new fastener":
        fitted = progress.fitted.insert(position, progress.fitted.get(position, 0) + 1)
        progress = replace(progress, fitted=fitted)
        fresh = replace(standing(progress, position), fastener=LOOSE, tightenings=0, budget_waived=False)
        progress = replace(progress, positions=progress.positions.insert(position, fresh))
    return finish_work(plan, progress)


def _looked_back(plan: Plan, progress: Progress, event: e.LookedBack) -> Progress:
    """A completed position was looked at after a break."""
    progress = finish_work(plan, progress)
    if event.as_left:
        return progress
    state = standing(progress, event.position)
    step = max(state.through, 0)
    found = replace(state, fastener=not_known(state.fastener))
    progress = replace(progress, positions=progress.positions.insert(event.position, found))
    asked = Question(cause="not as I left it", about=event.seq, step=step, positions=(event.position,))
    return ask_about(progress, asked)


def acts(line: Line, event: e.Inspected | e.LookedBack) -> tuple[Act, ...]:
    """A look at one position or at all of them; before starting over, or back, it says nothing of a step."""
    if isinstance(event, e.LookedBack):
        here = line.plan.steps[max(standing(line.before, event.position).through, 0)].id
        word = AS_EXPECTED if event.as_left else NOT_AS_EXPECTED
        return (line.act("look", here, word, position=event.position, work=True),)
    word = AS_EXPECTED if event.as_expected else NOT_AS_EXPECTED
    if event.work is not None:
        return (line.act("look", event.step, word, position=event.position, work=True),)
    alone = line.step(event.step).position
    named = event.positions if alone is None and event.positions else (alone,)
    return tuple(line.act("look", event.step, word, position=each) for each in named)


def tell(event: e.Inspected | e.LookedBack, plan: Plan, _: Tools) -> str:
    """The answer and what was asked."""
    if isinstance(event, e.LookedBack):
        here = bolt_at(event.position, plan)
        return f"Yes: {here}." if event.as_left else f"No !: {here}, not as it was."
    alone = event.position not in (None, NO_ONE_POSITION)
    where = bolt_at(event.position or "", plan) if alone else _asked(event.step, plan)
    by = "" if event.inspector is None else f", {event.inspector.name} looked, {_vouched(event, plan)}"
    word, told = started(event.answer), "" if event.as_expected else ", not as expected"
    return f"{word}{'' if event.as_expected else ' !'}: {where}{by}{told}."


def _vouched(event: e.Inspected, plan: Plan) -> str:
    """Tell how a name was given: typed, with a key, or on a form, there also by somebody who did the work."""
    if not plan.late:
        return given(event.key)
    return f"{SAME_PERSON}, on the form" if event.meaning == SAME_PERSON else "on the form"


def _asked(step: str, plan: Plan) -> str:
    """Give what was asked at a gate, word for word; else the position that was looked at."""
    place = plan.index_of.get(step)
    stage = plan.stage_of(plan.steps[place]) if place is not None else None
    at_a_gate = place is not None and plan.steps[place].position is None
    return f"“{stage.ask}”" if at_a_gate and isinstance(stage, Stage) else position_of(step, plan)


def paper(stage: Stage, _: str) -> Paper:
    """The question."""
    hold = ("hold point: another person looks",) if stage.hold_point else ()
    fields = ("Inspector", "Signature") if stage.hold_point else ()
    found = (*hold, *limits(stage.sample))
    does = "expected answer: no" if stage.expect == "no" else ""
    return Paper(f"Look: {stage.ask}", found, does, fields, (YES_OR_NO,))
