"""Marking: a line across fastener and part at each position, so that one that moved is seen later."""

from __future__ import annotations

from clampbook.ledger.stamp import Stamp
from clampbook.procedure.model import Mark as Stage
from clampbook.run import events as e
from clampbook.run.answers import Accepted, Answer, Plus, Refused
from clampbook.run.fold.acts import Act
from clampbook.run.fold.line import Line
from clampbook.run.fold.pulls import handled, settle
from clampbook.run.gather.draft import Draft, Part
from clampbook.run.gather.keys import Keys
from clampbook.run.kinds.kind import Column, Outcome, Paper, Planned, Tools
from clampbook.run.kinds.stamping import common
from clampbook.run.plan import Plan
from clampbook.run.progress import Progress, standing
from clampbook.run.prompts import Choice, Mark
from clampbook.run.session import Session
from clampbook.run.told.marks import MARKS
from clampbook.run.told.places import place, position_of, where, within_a_sentence
from clampbook.run.told.words import Words


def plan(stage: Stage, _: str) -> Planned:
    """At each position."""
    del stage
    return Planned("each")


def ask(session: Session, index: int, stage: Stage) -> Mark:
    """Ask for a mark with the stage's paint."""
    return Mark(where(session.plan, session.progress, index), stage.paint)


def keys(prompt: Mark) -> Keys:
    """It is marked."""
    del prompt
    return Keys((Choice("+", "done", "done", Plus()),))


def words(prompt: Mark) -> Words:
    """Name the fastener and the paint."""
    paint = within_a_sentence(prompt.paint)
    return Words(f"{place(prompt.where)}: mark head and part across with {paint}.", picture=True)


def complete(prompt: Mark, session: Session, begun: Answer, draft: Draft) -> Part | Refused | Answer:
    """Nothing more is asked."""
    del prompt, session, draft
    return begun


def decide(session: Session, prompt: Mark, answer: Answer, stamp: Stamp) -> Outcome:
    """It is marked."""
    if not isinstance(answer, Plus):
        return Refused("Press + when the mark is on.")
    where = prompt.where
    return Accepted(
        e.Marked(**common(session, stamp, prompt), step=where.id, paint=prompt.paint, attempt=where.attempt)
    )


def fold(plan: Plan, progress: Progress, event: e.Marked) -> Progress:
    """The step is done."""
    index = plan.index_of[event.step]
    state = standing(progress, plan.steps[index].position or "")
    return settle(plan, handled(progress), index, state, "applied")


def acts(line: Line, event: e.Marked) -> tuple[Act, ...]:
    """It was put on."""
    return (line.act("application", event.step, "applied"),)


def tell(event: e.Marked, plan: Plan, _: Tools) -> str:
    """Tell which one, and with what."""
    return f"Marked {MARKS['applied']}: {position_of(event.step, plan)}, {within_a_sentence(event.paint)}."


def paper(stage: Stage, _: str) -> Paper:
    """Write on the form what it is marked with."""
    wants = f"Mark head and part across with {within_a_sentence(stage.paint)}"
    return Paper(wants, columns=(Column("Marked", "□", 13),))
