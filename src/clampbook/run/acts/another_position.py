"""Another position was pulled than the one asked for."""

from __future__ import annotations

from msgspec.structs import replace

from clampbook import text as foreign
from clampbook.ledger.stamp import Stamp
from clampbook.procedure.model import Tighten as TightenStage
from clampbook.run import events as e
from clampbook.run import kinds
from clampbook.run.acts.at_hand import NO_SUCH_BOLT, Pull, once_done, pull_at
from clampbook.run.acts.off_scale import typed_again
from clampbook.run.acts.told import NO_PULL, Told, told, told_for, window_told_for
from clampbook.run.acts.what_it_showed import CLICKED, clicked, gives_a_click, shows_a_value
from clampbook.run.answers import Accepted, Answer, Plus, PulledAnother, Refused, Value
from clampbook.run.fold.frames import pending
from clampbook.run.gather.asking import labels
from clampbook.run.gather.draft import Draft, Part
from clampbook.run.kinds.kind import Next, Outcome
from clampbook.run.kinds.stamping import common
from clampbook.run.kinds.values import Wrong
from clampbook.run.next_prompt import prompt_at
from clampbook.run.plan import Plan, Step
from clampbook.run.progress import Progress, standing
from clampbook.run.prompts import Prompt, Tighten, Turn
from clampbook.run.session import Session
from clampbook.run.told.joints import at_hand_key
from clampbook.run.told.places import bolt_at
from clampbook.text import started

OUT_OF_ORDER = "out of order"


def complete(prompt: Prompt, session: Session, draft: Draft) -> Next:
    """Ask which one it was, and what the tool showed of it."""
    if not draft.has("position"):
        others = tuple(p for p in session.plan.group_of if p != once_done(prompt, draft))
        asked = "Which row came first?" if session.plan.late else "Which bolt did you pull?"
        return Part("position", asked, "choice", labels(others, at_hand_key(session.plan, prompt)))
    gives = gives_a_click(prompt)
    if gives is not None:
        if not draft.has("clicked"):
            return clicked(gives)
        return PulledAnother(draft.text("position"), clicked=CLICKED[draft.text("clicked")])
    tool = shows_a_value(prompt)
    if tool is None:
        return PulledAnother(draft.text("position"))
    if not draft.has("value"):
        named = started(bolt_at(draft.text("position"), session.plan))
        return Part("value", f"{named}: type {tool.name}'s reading in {tool.unit}.", "number")
    value = typed_again(prompt, draft, draft.text("value"))
    return value if isinstance(value, Part) else PulledAnother(draft.text("position"), value)


def decide(session: Session, prompt: Prompt, answer: PulledAnother, stamp: Stamp) -> Outcome:
    """Another position was pulled: stored at its own step where that was its next one, else it is asked about.

    A recheck is only ever answered at the position that it is asked for: a pull on another one is told for the torque
    that this one has reached, and its own recheck is still to come.
    """
    pull = pull_at(prompt)
    if pull is None:
        return Refused(NO_PULL)
    plan, progress = session.plan, session.progress
    position = answer.position
    refused = _cannot_be(plan, pull, position)
    if refused is not None:
        return refused
    here = plan.steps[plan.index_of[pull.where.id]]
    own = [index for index in plan.steps_of.get(position, ()) if _same_round(plan.steps[index], here)]
    state = standing(progress, position)
    following = next((index for index in plan.steps_of.get(position, ()) if index > state.through), None)
    due = following is not None and (
        following in own[:1] or _due_at_its_joint(plan, progress, plan.steps[following], here)
    )
    if following is not None and due and position not in progress.skipped and not _told_nothing(answer):
        moved = pull_at(prompt_at(session, following))
        if isinstance(moved, Tighten | Turn):
            return _as_usual(session, pull, moved, answer, stamp)
    again = plan.steps[own[0]] if own and state.through >= own[0] else None
    return _ahead_of_its_turn(session, prompt, pull, answer, again, stamp)


def _ahead_of_its_turn(
    session: Session, prompt: Prompt, pull: Pull, answer: PulledAnother, again: Step | None, stamp: Stamp
) -> Outcome:
    """A pull that no step of that position asked for now; `again` is its own step where that is done already."""
    plan, position = session.plan, answer.position
    index = told_for(session, position, turned=isinstance(pull, Turn))
    window = None if isinstance(pull, Turn) else window_told_for(session, position, index, pull.aim)
    found = told(session, pull, answer.text, answer.clicked, window)
    if isinstance(found, Wrong):
        return Refused(found.sentence)
    stage = plan.stage_of(plan.steps[plan.index_of[pull.where.id]])
    allowed = isinstance(stage, TightenStage) and stage.may_repull and found.get("verdict") != "over"
    if again is not None and allowed and not _told_nothing(answer):
        return _pulled_again(session, prompt, again, found, stamp)
    return Accepted(
        e.Voided(
            **common(session, stamp, prompt),
            step=plan.steps[index].id,
            attempt=standing(session.progress, position).attempt,
            of=None,
            cause="pulled out of turn" if again is None else "pulled again",
            **found,
        )
    )


def _told_nothing(answer: PulledAnother) -> bool:
    return answer.text is None and not answer.clicked


def _cannot_be(plan: Plan, pull: Pull, position: str) -> Refused | None:
    """Refuse a position that is not there, has nothing to be done, or is the one that is asked for."""
    if position not in plan.group_of:
        return Refused(NO_SUCH_BOLT.format(foreign.printable(position)))
    if position not in plan.steps_of:
        return Refused(
            f"{started(bolt_at(position, plan))} has no step in this run. Write a note (/) that you pulled it."
        )
    if position == pull.where.position:
        return Refused(f"{started(bolt_at(position, plan))} is the bolt asked for. Answer as usual.")
    return None


def _same_round(step: Step, here: Step) -> bool:
    return (step.stage, step.round) == (here.stage, here.round)


def _due_at_its_joint(plan: Plan, progress: Progress, step: Step, here: Step) -> bool:
    """True where another joint has come to the same round of the same stage of the procedure: nothing before it is
    still to be done there."""
    joint = plan.joint_at(step.position, step.stage)
    alike = (plan.numbered[step.stage], step.round) == (plan.numbered[here.stage], here.round)
    if joint is None or joint == plan.joint_at(here.position, here.stage) or not alike:
        return False
    bottom = progress.frames[0]
    before = range(bottom.next, plan.index_of[step.id])
    return not any(
        pending(plan, progress, bottom, index)
        for index in before
        if plan.joint_at(plan.steps[index].position, plan.steps[index].stage) in (joint, None)
        and not _same_round(plan.steps[index], step)
    )


def _as_usual(session: Session, pull: Pull, moved: Tighten | Turn, answer: PulledAnother, stamp: Stamp) -> Outcome:
    """Its own next step, done before its turn in the order: that is a deviation, unless they are done as one."""
    given: Answer = Plus() if answer.text is None else Value(answer.text)
    outcome = kinds.of(moved).decide(session, moved, given, stamp)
    if not isinstance(outcome, Accepted) or moved.where.position in pull.together:
        return outcome
    return Accepted(replace(outcome.event, noted=(*outcome.event.noted, OUT_OF_ORDER)))


def _pulled_again(session: Session, prompt: Prompt, step: Step, found: Told, stamp: Stamp) -> Outcome:
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
