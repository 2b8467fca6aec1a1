"""Applying: sealant or locker is put on, with its lot where the sheet wants it; the time of its group runs then."""

from __future__ import annotations

from msgspec.structs import replace

from clampbook import text as foreign
from clampbook.ledger.stamp import Stamp
from clampbook.procedure.model import Apply as Stage
from clampbook.run import events as e
from clampbook.run.answers import Accepted, Answer, Plus, Put, Refused, Value
from clampbook.run.fold.acts import Act
from clampbook.run.fold.frames import pass_gate
from clampbook.run.fold.line import Line
from clampbook.run.fold.pulls import handled, settle
from clampbook.run.gather.draft import Draft, Part
from clampbook.run.gather.keys import Keys
from clampbook.run.kinds.kind import Column, Outcome, Paper, Planned, Tools
from clampbook.run.kinds.pulls import FINISH_WITHIN
from clampbook.run.kinds.stamping import common
from clampbook.run.plan import Plan
from clampbook.run.progress import Progress, standing
from clampbook.run.prompts import Apply, Choice
from clampbook.run.session import Session
from clampbook.run.told.marks import marked
from clampbook.run.told.places import place, position_of, where, within_a_sentence
from clampbook.run.told.words import Field, Words
from clampbook.text import started
from clampbook.units import convert, show_duration


def plan(stage: Stage, _: str) -> Planned:
    """At each position, or once for all of them."""
    return Planned("each" if stage.asked == "each" and stage.positions else "once")


def ask(session: Session, index: int, stage: Stage) -> Apply:
    """Ask for what is put on; the lot used before is offered for choosing."""
    plan, progress = session.plan, session.progress
    step = plan.steps[index]
    group = plan.group_named.get(step.group or "")
    limit = group.finish_within if group else None
    seconds = None if limit is None else convert(limit.value, limit.unit, "s")
    return Apply(where(plan, progress, index), stage.what, stage.lot, progress.lots.get(step.stage), seconds)


def keys(prompt: Apply) -> Keys:
    """Done; with its lot, where that is wanted."""
    if not prompt.lot:
        return Keys((Choice("+", "done", "done", Put(None)),))
    last = prompt.last_lot
    same = () if last is None else (Choice("+", f"lot {last}", "same_lot", Put(last)),)
    return Keys(same, types="text", wanted="the lot")


def words(prompt: Apply) -> Words:
    """Show what is put on, and how long there is from now."""
    limit = prompt.finish_within
    told = () if limit is None else (f"{FINISH_WITHIN} {show_duration(limit)} from now",)
    sentence = f"{place(prompt.where)}: apply {within_a_sentence(prompt.what)}.{' Type its lot.' if prompt.lot else ''}"
    return Words(sentence, told, field=Field("lot") if prompt.lot else None, picture=True)


def complete(prompt: Apply, session: Session, begun: Answer, draft: Draft) -> Part | Refused | Answer:
    """Take what was typed as the lot."""
    del prompt, session, draft
    return Put(begun.text) if isinstance(begun, Value) else begun


def decide(session: Session, prompt: Apply, answer: Answer, stamp: Stamp) -> Outcome:
    """It is on."""
    lot = answer.lot if isinstance(answer, Put) else None
    if not isinstance(answer, Put | Plus) or (prompt.lot and not lot):
        return Refused(f"Type the lot of {prompt.what}.")
    return Accepted(
        e.Applied(
            **common(session, stamp, prompt),
            step=prompt.where.id,
            what=prompt.what,
            attempt=prompt.where.attempt,
            lot=foreign.clean(lot, what="the lot") if lot else None,
        )
    )


def fold(plan: Plan, progress: Progress, event: e.Applied) -> Progress:
    """The time limit of its group runs from here."""
    index = plan.index_of[event.step]
    step = plan.steps[index]
    progress = handled(progress)
    if event.lot is not None:
        progress = replace(progress, lots=progress.lots.insert(step.stage, event.lot))
    if step.position is not None:
        state = replace(standing(progress, step.position), applied=event.at, limit_waived=False)
        return settle(plan, progress, index, state, "applied")
    group = plan.group_named.get(step.group or "")
    top = progress.frames[-1]
    members = group.positions if group else ()
    if top.reason == "from the beginning" and top.positions is not None:  # the others' was put on when it was
        members = tuple(each for each in members if each in top.positions)
    positions = progress.positions
    for position in members:
        positions = positions.insert(
            position, replace(standing(progress, position), applied=event.at, limit_waived=False)
        )
    return pass_gate(plan, replace(progress, positions=positions))


def acts(line: Line, event: e.Applied) -> tuple[Act, ...]:
    """It was put on."""
    return (line.act("application", event.step, "applied"),)


def tell(event: e.Applied, plan: Plan, _: Tools) -> str:
    """Tell what is on where, and its lot."""
    lot = f", lot {event.lot}" if event.lot else ""
    return f"{started(marked('applied'))}: {within_a_sentence(event.what)}, {position_of(event.step, plan)}{lot}."


def paper(stage: Stage, _: str) -> Paper:
    """Write on the form what is put on."""
    lot = ("Lot",) if stage.lot else ()
    return Paper(f"Apply {stage.what}", fields=lot, columns=(Column("Applied", "□", 14),))
