"""Honest answers when something else happened: bad pulls, another position, set aside, broken."""

from __future__ import annotations

from typing import TypedDict

from msgspec.structs import replace

from clampbook import text as foreign
from clampbook import units
from clampbook.ledger.stamp import Stamp
from clampbook.procedure.model import Tighten
from clampbook.run import answers as a
from clampbook.run import events as e
from clampbook.run import kinds, menu
from clampbook.run import prompts as ask
from clampbook.run.answers import Accepted, Refused, Unsure
from clampbook.run.deciding.correcting import line_meant
from clampbook.run.deciding.told import Pull, Told, told, told_for, window_told_for
from clampbook.run.draft import bare
from clampbook.run.fold.tools import through
from clampbook.run.kinds.stamping import common
from clampbook.run.kinds.values import Wrong, off_scale, rounded
from clampbook.run.plan import Step
from clampbook.run.progress import standing
from clampbook.run.prompting import prompt_at
from clampbook.run.session import Session
from clampbook.unit_names import UnitFault, quoted
from clampbook.units import Kind

Outcome = Accepted | Unsure | Refused
OUT_OF_ORDER = "out of order"
NO_PULL = "No pull is asked for here."


def bad_pull(session: Session, prompt: ask.Prompt, answer: a.BadPull, stamp: Stamp) -> Outcome:
    """The pull just made was no good; it was not stored, a value may be added."""
    pull = menu.pull_at(prompt)
    if pull is None:
        return Refused(f"{NO_PULL} A stored pull is voided from the menu (*).")
    found = told(session, pull, answer.value, answer.clicked, pull.window)
    if isinstance(found, Wrong):
        return Refused(found.sentence)
    return Accepted(
        e.Voided(
            **common(session, stamp, prompt),
            step=pull.where.id,
            attempt=pull.where.attempt,
            of=None,
            cause=foreign.clean(answer.cause, what="the cause", most=80),
            **found,
        )
    )


def void_stored(session: Session, prompt: ask.Prompt, answer: a.VoidStored, stamp: Stamp) -> Outcome:
    """A stored pull was a bad one after all: it must be the latest of its position."""
    found = line_meant(session, answer.of)
    if isinstance(found, Refused):
        return found
    line, step, what = found
    if step is None or what not in ("reading", "release", "turn", "recheck"):
        return Refused("Only a pull can be voided, and only the latest of its position; an older line can be noted.")
    if session.progress.aside.get(step.position or "") is not None:
        return Refused(f"Position {step.position} is set aside; it is asked about before this round ends.")
    return Accepted(
        e.Voided(
            **common(session, stamp, prompt),
            step=step.id,
            attempt=standing(session.progress, step.position or "").attempt,
            of=line,
            cause=foreign.clean(answer.cause, what="the cause", most=80) or "bad pull",
        )
    )


def another(session: Session, prompt: ask.Prompt, answer: a.PulledAnother, stamp: Stamp) -> Outcome:
    """Another position was pulled: stored at its own step where that was its next one, else it is asked about.

    A recheck is only ever answered at the position that it is asked for: a pull on another one is told for the torque
    that this one has reached, and its own recheck is still to come.
    """
    pull = menu.pull_at(prompt)
    if pull is None:
        return Refused(NO_PULL)
    plan, progress = session.plan, session.progress
    position = answer.position
    if position not in plan.group_of:
        return Refused(f"There is no position {foreign.printable(position)} in this joint.")
    if position not in plan.steps_of:
        return Refused(f"Position {position} has no step in this run: write a note (/) that it was pulled.")
    if position == pull.where.position:
        return Refused(f"{position} is the position that is asked for: answer it as usual.")
    here = plan.steps[plan.index_of[pull.where.id]]
    own = [index for index in plan.steps_of.get(position, ()) if _same_round(plan.steps[index], here)]
    state = standing(progress, position)
    following = next((index for index in plan.steps_of.get(position, ()) if index > state.through), None)
    told_nothing = answer.text is None and not answer.clicked
    if own and following == own[0] and position not in progress.aside and not told_nothing:
        moved = menu.pull_at(prompt_at(session, own[0]))
        if isinstance(moved, ask.Tighten | ask.Turn):
            return _as_usual(session, pull, moved, answer, stamp)
    index = told_for(session, position, turned=isinstance(pull, ask.Turn))
    window = None if isinstance(pull, ask.Turn) else window_told_for(session, position, index, pull.aim)
    found = told(session, pull, answer.text, answer.clicked, window)
    if isinstance(found, Wrong):
        return Refused(found.sentence)
    stage, again = plan.stage_of(here), bool(own) and state.through >= own[0]
    allowed = isinstance(stage, Tighten) and stage.may_repull and found.get("verdict") != "over"
    if again and allowed and not told_nothing:
        return _pulled_again(session, prompt, plan.steps[own[0]], found, stamp)
    cause = "pulled again" if again else "pulled out of turn"
    return Accepted(
        e.Voided(
            **common(session, stamp, prompt),
            step=plan.steps[index].id,
            attempt=state.attempt,
            of=None,
            cause=cause,
            **found,
        )
    )


def _same_round(step: Step, here: Step) -> bool:
    return (step.stage, step.round) == (here.stage, here.round)


def _as_usual(
    session: Session, pull: Pull, moved: ask.Tighten | ask.Turn, answer: a.PulledAnother, stamp: Stamp
) -> Outcome:
    """Its own next step, done before its turn in the order: that is a deviation, unless they are done as one."""
    given: a.Answer = a.Plus() if answer.text is None else a.Value(answer.text)
    outcome = kinds.of(moved).decide(session, moved, given, stamp)
    if not isinstance(outcome, Accepted) or moved.where.position in pull.together:
        return outcome
    return Accepted(replace(outcome.event, noted=(*outcome.event.noted, OUT_OF_ORDER)))


def _pulled_again(session: Session, prompt: ask.Prompt, step: Step, found: Told, stamp: Stamp) -> Outcome:
    """A completed position was pulled again where the stage allows it: kept as a recheck, which changes nothing; the
    window that it was held against is kept for a correction."""
    return Accepted(
        e.Rechecked(
            **common(session, stamp, prompt, "pulled again"),
            step=step.id,
            attempt=standing(session.progress, step.position or "").attempt,
            pass_no=0,
            moved=False,
            method="tighten on",
            tool=found["tool"],
            adapter=found.get("adapter"),
            typed=found.get("typed"),
            value=found.get("value"),
            set_to=found.get("set_to"),
            unit=found.get("unit"),
            at_fastener=found.get("at_fastener"),
            window=found.get("window"),
        )
    )


def leave_for_later(session: Session, prompt: ask.Prompt, answer: a.LeaveForLater, stamp: Stamp) -> Outcome:
    """The position at hand is set aside until its round ends."""
    place = getattr(prompt, "where", None)
    top = session.progress.frames[-1]
    if not isinstance(place, ask.Where) or place.position is None or top.prologue:
        return Refused("There is no position at hand that could be set aside; hold the run instead.")
    if isinstance(prompt, ask.Decide | ask.StepState) or place.position not in session.plan.group_of:
        return Refused("Decide this first.")
    reason = foreign.clean(answer.reason, what="the reason")
    if not reason:
        return Refused("Say why it is set aside.")
    return Accepted(e.SetAside(**common(session, stamp, prompt), step=place.id, position=place.position, reason=reason))


def broke(session: Session, prompt: ask.Prompt, answer: a.Broke, stamp: Stamp) -> Outcome:
    """The fastener at hand is lost: the sequence freezes."""
    place = getattr(prompt, "where", None)
    if (
        not isinstance(place, ask.Where)
        or place.position not in session.plan.group_of
        or isinstance(prompt, ask.Decide)
    ):
        return Refused("There is no fastener at hand; answer this first, or write a note (/).")
    reached = _reached(session, prompt, answer.reached) if answer.reached else {}
    if isinstance(reached, str):
        return Refused(reached)
    return Accepted(
        e.Broken(
            **common(session, stamp, prompt),
            step=place.id,
            position=place.position or "",
            attempt=place.attempt,
            how=answer.how,
            **reached,
        )
    )


class Reached(TypedDict, total=False):
    """What a fastener had when it was lost: as shown, its number and unit, the tool, and the torque at the fastener."""

    reached: str
    value: str
    unit: str
    tool: str
    at_fastener: str


def _reached(session: Session, prompt: ask.Prompt, text: str) -> Reached | str:
    """A torque or an angle with its unit; a number alone is in the unit of the tool in hand. A sentence where neither
    is there."""
    pull = menu.pull_at(prompt)
    own = pull.tool.unit if pull is not None else None
    for kind in (Kind.TORQUE, Kind.ANGLE):
        try:
            found = units.parse(text, kind, unit=own if own is not None and units.kind_of(own) is kind else None)
        except UnitFault:
            continue
        fields = Reached(reached=units.show(found.value, found.unit), value=units.plain(found.value), unit=found.unit)
        if pull is not None and found.unit == own:
            fields["tool"] = pull.tool.id
        if kind is Kind.TORQUE and not isinstance(pull, ask.Turn | None) and bare(text):  # else it was asked
            beyond = off_scale(found, pull.aim)
            if beyond:
                return beyond
        if kind is Kind.TORQUE:
            shown = units.convert(found.value, found.unit, session.plan.unit)
            fields["at_fastener"] = rounded(through(session.progress, fields.get("tool")).at_fastener(shown))
        return fields
    return f"{quoted(text)} is not a torque or an angle. Type it with its unit, such as 25 N·m, or - not known."
