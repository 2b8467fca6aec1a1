"""Aligning: a castle nut is turned on to its next slot, never back; then it is read and locked."""

from __future__ import annotations

from dataclasses import replace as with_
from decimal import Decimal

from msgspec.structs import replace

from clampbook import units
from clampbook.ledger.stamp import Stamp
from clampbook.procedure.model import Align as Stage
from clampbook.run import events as e
from clampbook.run.answers import Accepted, Answer, Refused, Slot
from clampbook.run.fold.acts import ALIGNED, AT_THE_SLOT, NOT_AS_EXPECTED, Act
from clampbook.run.fold.fastener import pulled as pull
from clampbook.run.fold.frames import left_unsaid
from clampbook.run.fold.line import Line
from clampbook.run.fold.pulls import NOT_ALIGNED, pulled, question, settle, worked
from clampbook.run.gather.draft import Draft, Part
from clampbook.run.gather.keys import Keys
from clampbook.run.in_hand.ask_for import read_at_best, ready_if_in_hand
from clampbook.run.kinds import beside, pulls
from clampbook.run.kinds.kind import Column, Outcome, Paper, Planned, Tools
from clampbook.run.kinds.stamping import common
from clampbook.run.plan import Plan
from clampbook.run.progress import Progress, standing
from clampbook.run.prompts import Align, Choice, Inspect, Prompt, SetTool, TakeTool, ZeroTool
from clampbook.run.session import Session
from clampbook.run.told.marks import MARKS
from clampbook.run.told.places import position_of, pulled_at, tightened, where
from clampbook.run.told.torques import lever_line, show_torque
from clampbook.run.told.words import Facts, Words, held
from clampbook.tools.aim import tightening
from clampbook.units import show

_ALREADY = Choice("1", "aligned already", "already", Slot("already"))
_TURNED = Choice("2", "turned on to the slot", "turned", Slot("turned"))
_NOT = Choice("3", "does not align", "not", Slot("not"))
_UNREAD = Choice("4", "turned on with a plain wrench, no reading", "unread", Slot("unread"))


def plan(stage: Stage, _: str) -> Planned:
    """At each position."""
    del stage
    return Planned("each")


def ask(session: Session, index: int, stage: Stage) -> Prompt:
    """The turn to the slot; then the torque that it took, and whether it is locked."""
    here = where(session.plan, session.progress, index)
    awaiting = standing(session.progress, here.position or "").awaiting
    if awaiting == "final torque":
        return beside.torque(session, index, "Torque at the slot", "final torque")
    if awaiting == "lock":
        return Inspect(here, f"{stage.lock} fitted and secured?", "yes", position=here.position)
    if session.plan.late:
        return Align(here, stage.at_most, session.plan.unit, stage.slot)
    ready = read_at_best(session, index, here) if awaiting == "tool that reads" else None
    ready = ready or ready_if_in_hand(session, index, here)
    if isinstance(ready, TakeTool | ZeroTool | SetTool):
        return ready
    return Align(here, stage.at_most, session.plan.unit, stage.slot, ready)


def keys(prompt: Align) -> Keys:
    """The ways to come to its slot; without a tool that shows torque nothing is read."""
    without = prompt.aim is None and not prompt.where.on_form
    return Keys((_ALREADY, _TURNED, _NOT) if without else (_ALREADY, _TURNED, _NOT, _UNREAD))


def words(prompt: Align) -> Words:
    """Show how far at most, to which torque, and that it never goes back."""
    aim, left_hand = prompt.aim, prompt.where.left_hand
    limit = _limit(prompt)
    above = "" if limit is None else f", not above {limit}"
    around = tightened(prompt.where)
    tool = _without(limit) if aim is None else lever_line(aim)
    return Words(
        f"{pulled_at(prompt.where)}: turn on{around} to the next slot{above}. Never turn back.",
        (f"at most {show(prompt.slot, '°')} to the next slot", *tool),
        position=pulls.position(prompt.where),
        picture=True,
        terms=("next slot",),
        facts=with_(Facts() if aim is None else held(aim), left_hand=left_hand, direction=tightening(left_hand)),
    )


def _without(limit: str | None) -> tuple[str, ...]:
    """Say what is left out where no tool in hand shows torque."""
    left = "the reading is left out" if limit is None else "the limit is not checked"
    return (f"no tool in hand shows torque: {left}",)


def _limit(prompt: Align) -> str | None:
    """The torque that is not passed, on the tool in hand where one shows torque."""
    on_tool = None if prompt.aim is None else prompt.aim.on_tool[1]
    if prompt.aim is not None and on_tool is not None:
        return show_torque(on_tool, prompt.aim.tool.unit)
    return None if prompt.at_most is None else show_torque(prompt.at_most, prompt.unit)


def complete(prompt: Align, session: Session, begun: Answer, draft: Draft) -> Part | Refused | Answer:
    """Nothing more is asked."""
    del prompt, session, draft
    return begun


def decide(session: Session, prompt: Align, answer: Answer, stamp: Stamp) -> Outcome:
    """At its slot, with a reading to come where a tool shows one; or it does not align."""
    can_be_read = prompt.aim is not None or session.plan.late  # on a form it stands beside
    if not isinstance(answer, Slot) or (answer.how == "unread" and not can_be_read):
        return Refused("Say how it came to its slot: choose from the list.")
    reads = answer.how in ("turned", "not") and can_be_read
    return Accepted(
        e.Aligned(
            **common(session, stamp, prompt),
            step=prompt.where.id,
            attempt=prompt.where.attempt,
            slot="turned" if answer.how == "unread" else answer.how,
            reads=reads,
            at_most=None if prompt.at_most is None else units.plain(prompt.at_most),
        )
    )


def fold(plan: Plan, progress: Progress, event: e.Aligned) -> Progress:
    """At its slot it is read, then locked; where it does not align, that is decided."""
    index = plan.index_of[event.step]
    position = plan.steps[index].position or ""
    before = standing(progress, position)
    progress = replace(worked(progress, event, event.step), ask_state=left_unsaid(plan, progress, event.step))
    if event.slot == "already":
        unread = {"last_value": None, "latest_what": None}  # what it was tightened to was read in another stage
        state = replace(before, latest=event.seq, latest_step=index, awaiting="lock", **unread)
        return settle(plan, progress, index, state, before.outcome, finished=False)
    # nobody knows how far it went until it is read
    before = replace(before, awaiting=None)
    state = pulled(before, index, event.seq, None, pull(before.fastener, None, "reading", event.seq))
    if event.slot == "not":
        progress = settle(plan, progress, index, state, before.outcome, finished=False)
        checked = event.at_most if event.reads else None
        found = None if checked is None else show(Decimal(checked), plan.unit)
        return question(progress, event, NOT_ALIGNED, index, position, found)
    state = replace(state, awaiting="final torque" if event.reads else "lock")
    return settle(plan, progress, index, state, "confirmed", finished=False)


def acts(line: Line, event: e.Aligned) -> tuple[Act, ...]:
    """A turn to the slot has no angle; where it was there already nothing was turned; else it is a look."""
    match event.slot:
        case "turned":
            return (line.act("turn", event.step, AT_THE_SLOT),)
        case "already":
            return (line.act("slot", event.step, ALIGNED),)
        case "not":
            return (line.act("look", event.step, NOT_AS_EXPECTED),)


def tell(event: e.Aligned, plan: Plan, _: Tools) -> str:
    """Tell how it came to its slot."""
    here = position_of(event.step, plan)
    match event.slot:
        case "already":
            return f"Aligned already {MARKS['confirmed']}: {here}."
        case "not":
            return f"Does not align !: {here}."
        case "turned":
            read = "" if event.reads else " No reading."
            return f"At the slot {MARKS['confirmed']}: {here}.{read}"


def paper(stage: Stage, unit: str) -> Paper:
    """Write on the form how far at most, and what locks it."""
    above = () if stage.at_most is None else (f"not above {show_torque(stage.at_most, unit)}",)
    limits = (*above, f"at most {show(stage.slot, '°')} to the next slot", f"then {stage.lock}")
    does = "turn on until the next slot is in line, no further. Write the torque there"
    columns = (Column("Torque"), Column("Locked", "□", 13))
    return Paper("Turn on to the next slot, never back", limits, does, ("Tool",), columns)
