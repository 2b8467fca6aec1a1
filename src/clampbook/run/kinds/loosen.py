"""Loosening: fully, or by degrees, never with a torque tool; as a step, or before a position is started over. What a
tensioner holds is let down."""

from __future__ import annotations

from msgspec.structs import replace

from clampbook.ledger.stamp import Stamp
from clampbook.procedure.model import Loosen as Stage
from clampbook.run import events as e
from clampbook.run.answers import Accepted, Answer, Plus, Refused
from clampbook.run.fold.acts import LET_DOWN, Act
from clampbook.run.fold.fastener import known_loose, let_down, loosened
from clampbook.run.fold.frames import finish_work
from clampbook.run.fold.line import Line
from clampbook.run.fold.pulls import handled, settle
from clampbook.run.gather.draft import Draft, Part
from clampbook.run.gather.keys import Keys
from clampbook.run.kinds import pulls
from clampbook.run.kinds.kind import Column, Outcome, Paper, Planned, Tools
from clampbook.run.kinds.stamping import common
from clampbook.run.plan import Plan
from clampbook.run.progress import FINISHED, Progress, standing
from clampbook.run.prompts import Choice, Loosen
from clampbook.run.session import Session
from clampbook.run.told.marks import MARKS, marked
from clampbook.run.told.places import bolt, bolt_at, pulled_at, way, where
from clampbook.run.told.words import Facts, Figure, Words
from clampbook.text import started
from clampbook.tools.aim import loosening
from clampbook.units import Quantity, plain, show


def plan(stage: Stage, _: str) -> Planned:
    """At each position, by so many degrees where it is not fully."""
    return Planned("each", target=stage.by, unit=None if stage.by is None else "°")


def ask(session: Session, index: int, stage: Stage) -> Loosen:
    """Ask to loosen it; where it is known to be loose, nothing is left to loosen."""
    plan, progress = session.plan, session.progress
    named = plan.steps[index].position or ""
    loose = known_loose(standing(progress, named).fastener)
    late = progress.found == FINISHED
    return Loosen(where(plan, progress, index), named, stage.by, finished_before=late, already=loose)


def keys(prompt: Loosen) -> Keys:
    """It is loose, or let down."""
    done = LET_DOWN if prompt.let_down else "loose"
    return Keys((Choice("+", done, done.replace(" ", "_"), Plus()),))


def words(prompt: Loosen) -> Words:
    """Show how far, which way round, and with what not."""
    if prompt.already:
        return _shown(prompt, f"{bolt(prompt.where)}: loose already. Nothing to loosen.")
    if prompt.let_down:
        return _shown(prompt, f"{bolt(prompt.where)}: let its pressure down fully, with the tensioner.")
    how = "fully" if prompt.by is None else show(prompt.by, "°")
    how += way(loosening(prompt.where.left_hand), prompt.where)
    return _shown(prompt, f"{pulled_at(prompt.where)}: loosen {how}, without a torque tool.")


def _shown(prompt: Loosen, sentence: str) -> Words:
    """The sentence with the angle, where it is to be loosened by one, and the position."""
    left_hand = prompt.where.left_hand
    return Words(
        sentence,
        hand=None if prompt.by is None or prompt.already else Figure(f"{plain(prompt.by)}°", "", "loosen by"),
        position=pulls.large(prompt.position, prompt.where),
        about=(prompt.position,),
        picture=True,
        facts=Facts(
            target=None if prompt.by is None else Quantity(prompt.by, "°"),
            left_hand=left_hand,
            direction=None if prompt.let_down else loosening(left_hand),
            work=(LET_DOWN if prompt.let_down else "loosen") if prompt.work else None,
        ),
    )


def complete(prompt: Loosen, session: Session, begun: Answer, draft: Draft) -> Part | Refused | Answer:
    """Nothing more is asked."""
    del prompt, session, draft
    return begun


def decide(session: Session, prompt: Loosen, answer: Answer, stamp: Stamp) -> Outcome:
    """A position is loose."""
    if not isinstance(answer, Plus):
        loose = "Press + when it is loose. Never loosen with a torque tool."
        return Refused("Press + when its pressure is let down." if prompt.let_down else loose)
    return Accepted(
        e.Loosened(
            **common(session, stamp, prompt),
            step=prompt.where.id,
            position=prompt.position,
            attempt=prompt.where.attempt,
            work=prompt.work,
            let_down=True if prompt.let_down else None,
        )
    )


def fold(plan: Plan, progress: Progress, event: e.Loosened) -> Progress:
    """A position is loose: as a step of the plan, or before it is taken from the beginning."""
    before = standing(progress, event.position)
    progress = handled(progress)
    if event.work:
        fastener = let_down(before.fastener) if event.let_down else loosened(before.fastener)
        state = replace(before, fastener=fastener, latest=event.seq, latest_what=None)
        kept = replace(progress, positions=progress.positions.insert(event.position, state))
        return finish_work(plan, kept)
    index = plan.index_of[event.step]
    stage = plan.stage_of(plan.steps[index])
    by = stage.by if isinstance(stage, Stage) else None
    fastener = replace(loosened(before.fastener, by), used=False)  # the sheet itself uses it once more
    state = replace(before, fastener=fastener, latest=event.seq, latest_what=None, latest_step=index)
    return settle(plan, progress, index, state, "loosened")


def acts(line: Line, event: e.Loosened) -> tuple[Act, ...]:
    """It was loosened, at its step or before it starts over."""
    outcome = LET_DOWN if event.let_down else "loosened"
    return (line.act("loosening", event.step, outcome, position=event.position, work=event.work),)


def tell(event: e.Loosened, plan: Plan, _: Tools) -> str:
    """Tell which one."""
    if event.let_down:
        return f"{started(LET_DOWN)} {MARKS['loosened']}: {bolt_at(event.position, plan)}."
    return f"{started(marked('loosened'))}: {bolt_at(event.position, plan)}."


def paper(stage: Stage, _: str) -> Paper:
    """Write on the form how far."""
    wants = "Loosen fully" if stage.by is None else f"Loosen by {show(stage.by, '°')}"
    return Paper(wants, does="without a torque tool", columns=(Column("Loose", "□", 12),))
