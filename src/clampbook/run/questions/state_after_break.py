"""The state of the step at hand after a break: not started, started, or finished and not entered."""

from __future__ import annotations

from decimal import Decimal

from msgspec.structs import replace

from clampbook import units
from clampbook.ledger.stamp import Stamp
from clampbook.procedure.model import Turn
from clampbook.run import events as e
from clampbook.run.answers import Accepted, Answer, Found, Refused
from clampbook.run.fold.acts import UNKNOWN, Act
from clampbook.run.fold.fastener import LOOSE, known_loose, snugged, turned, turned_so_far
from clampbook.run.fold.frames import ask as ask_about
from clampbook.run.fold.frames import at_hand
from clampbook.run.fold.line import Line
from clampbook.run.fold.verdict import judge
from clampbook.run.gather.draft import NONE, Draft, Part
from clampbook.run.gather.keys import Keys
from clampbook.run.in_hand.ask_for import MARKS
from clampbook.run.kinds.kind import Outcome, Tools
from clampbook.run.kinds.stamping import common
from clampbook.run.kinds.values import Wrong, ends, typed_value
from clampbook.run.plan import Plan, Step
from clampbook.run.progress import Progress, Question, standing
from clampbook.run.prompts import Choice, StepState
from clampbook.run.session import Session
from clampbook.run.told.places import bolt, place, position_of, where
from clampbook.run.told.words import Words
from clampbook.units import Kind

FROM_ITS_MARK = "read from its mark after a break"
_NOT_KNOWN = "not_known"
_NOT_BEGUN = Choice("1", "not started", "not_started", Found("not started"))
_A_PULL = (
    _NOT_BEGUN,
    Choice("2", "started, not finished", "started_not_finished", Found("started, not finished")),
    Choice("3", "finished, not entered", "finished_not_entered", Found("finished, not entered")),
)
_A_TURN = (
    _NOT_BEGUN,
    Choice("2", "started, mark still there", "started_mark_there", Found("started, mark still there")),
    Choice("3", "started, mark lost", "started_mark_lost", Found("mark lost")),
    Choice("4", "finished, not entered", "finished_not_entered", Found("finished, not entered")),
)


def ask(session: Session) -> StepState:
    """Of a turn that was started it matters whether its mark is still there."""
    plan, progress = session.plan, session.progress
    index = at_hand(progress)
    return StepState(where(plan, progress, index), isinstance(plan.stage_of(plan.steps[index]), Turn))


def keys(prompt: StepState) -> Keys:
    """Offer the ways in which it may be found."""
    return Keys(_A_TURN if prompt.turn else _A_PULL)


def words(prompt: StepState) -> Words:
    """The question."""
    return Words(
        f"{bolt(prompt.where) if prompt.where.position is not None else place(prompt.where)}: how was it left?"
    )


def complete(prompt: StepState, session: Session, begun: Answer, draft: Draft) -> Part | Refused | Answer:
    """Of a turn that was started, how far it is from its mark in all."""
    del session
    if not isinstance(begun, Found) or begun.state != "started, mark still there":
        return begun
    if not draft.has("degrees"):
        text = f"{bolt(prompt.where)}: turned how far from its mark? Type degrees."
        return Part("degrees", text, "number", (Choice(NONE, "not known", _NOT_KNOWN),))
    degrees = draft.text("degrees")
    return replace(begun, degrees=None if degrees == _NOT_KNOWN else degrees)


def decide(session: Session, prompt: StepState, answer: Answer, stamp: Stamp) -> Outcome:
    """Take what is found; a turn has its own answers: its mark may be lost, and how far it is from it is asked."""
    step = session.plan.steps[session.plan.index_of[prompt.where.id]]
    begun = ("started, mark still there", "mark lost") if step.kind == "turn" else ("started, not finished",)
    allowed = ("not started", *begun, "finished, not entered")
    if not isinstance(answer, Found) or answer.state not in allowed:
        return Refused(f"Choose 1 to {len(keys(prompt).choices)}.")
    if answer.state == "started, mark still there" and answer.degrees is not None:
        return _from_its_mark(session, prompt, step, answer.degrees, stamp)
    return Accepted(e.StepState(**common(session, stamp, prompt), step=step.id, state=answer.state))


def _from_its_mark(session: Session, prompt: StepState, step: Step, text: str, stamp: Stamp) -> Outcome:
    """Take how far it stands from its mark in all: what was typed of it before is part of that, the rest is a
    stroke.
    """
    read = typed_value(text, Kind.ANGLE, "°", "°", (None, None), with_unit=False)
    if isinstance(read, Wrong):
        return Refused(read.sentence)
    index = session.plan.index_of[step.id]
    before = turned_so_far(standing(session.progress, step.position or "").fastener, index) or Decimal(0)
    if read.exact < before:
        so_far = units.show(before, "°")
        return Refused(f"It was turned {so_far} before the break. Type all of it, from its mark.")
    fields = common(session, stamp, prompt, FROM_ITS_MARK)
    if read.exact == before:
        if not before:
            return Accepted(e.StepState(**fields, step=step.id, state="not started"))
        degrees = units.plain(before)
        return Accepted(e.StepState(**fields, step=step.id, state="started, mark still there", degrees=degrees))
    window = step.window or (None, None)
    return Accepted(
        e.Turned(
            **fields,
            step=step.id,
            attempt=prompt.where.attempt,
            tool=session.progress.using.get("angle", MARKS.id),
            typed=read.text,
            value=units.plain(read.exact - before),
            sum=units.plain(read.exact),
            window=ends(window),
            verdict=judge(read.exact, window),
        )
    )


def fold(plan: Plan, progress: Progress, event: e.StepState) -> Progress:
    """Ask about what nobody knows of a turn; a pull that was begun is neither loose any more nor tight."""
    index = plan.index_of[event.step]
    position = plan.steps[index].position or ""
    progress = replace(progress, ask_state=False, found=event.state)
    if not _mark_is_lost(event):
        return progress if event.state != "started, not finished" else _begun(progress, position)
    before = standing(progress, position)
    state = replace(
        before,
        outcome="unknown",
        latest=event.seq,
        latest_step=index,
        latest_what=None,
        fastener=turned(before.fastener, index, None, None),
    )
    kept = replace(progress, positions=progress.positions.insert(position, state), found=None)
    return ask_about(kept, Question(cause="mark lost", about=event.seq, step=index, positions=(position,)))


def _begun(progress: Progress, position: str) -> Progress:
    """A pull or a loosening that stopped midway: it is neither loose any more nor tight by any torque that was told.

    What was begun on a loose one is a tightening spent; the pull that finishes it is no other.
    """
    state = standing(progress, position)
    if not known_loose(state.fastener):
        return progress
    begun = replace(state, fastener=snugged(LOOSE), tightenings=state.tightenings + 1)
    return replace(progress, positions=progress.positions.insert(position, begun))


def _mark_is_lost(event: e.StepState) -> bool:
    """True where nobody can say how far a turn went."""
    return event.state == "mark lost" or (event.state == "started, mark still there" and event.degrees is None)


def acts(line: Line, event: e.StepState) -> tuple[Act, ...]:
    """A mark that is lost; what is only found is no act."""
    return (line.act("mark lost", event.step, UNKNOWN),) if _mark_is_lost(event) else ()


def tell(event: e.StepState, plan: Plan, _: Tools) -> str:
    """Tell how it was found."""
    return f"Found: {position_of(event.step, plan)}, {event.state}."
