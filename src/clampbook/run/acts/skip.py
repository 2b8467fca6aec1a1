"""The position at hand is left for later, until its round ends."""

from __future__ import annotations

from msgspec.structs import replace

from clampbook import text as foreign
from clampbook.ledger.stamp import Stamp
from clampbook.run import events as e
from clampbook.run.acts.at_hand import once_done
from clampbook.run.answers import Accepted, Refused, Skip
from clampbook.run.asked import where_of
from clampbook.run.fold.acts import Act
from clampbook.run.fold.frames import advance, left_unsaid
from clampbook.run.fold.line import Line
from clampbook.run.gather.asking import reason as ask_why
from clampbook.run.gather.draft import Draft
from clampbook.run.kinds.kind import Next, Outcome, Tools
from clampbook.run.kinds.stamping import aside
from clampbook.run.plan import Plan
from clampbook.run.progress import Progress, SkippedAt, standing
from clampbook.run.prompts import Decide, Prompt, StepState
from clampbook.run.session import Session
from clampbook.run.told.marks import marked
from clampbook.run.told.places import bolt_at
from clampbook.text import started


def complete(prompt: Prompt, session: Session, draft: Draft) -> Next:
    """Ask why."""
    if draft.has("reason"):
        return Skip(draft.text("reason"))
    return ask_why("skip", f"Why skip {bolt_at(once_done(prompt, draft) or '', session.plan)}?")


def decide(session: Session, prompt: Prompt, answer: Skip, stamp: Stamp) -> Outcome:
    """The position at hand is skipped until its round ends."""
    place = where_of(prompt)
    top = session.progress.frames[-1]
    if place is None or place.position is None or top.prologue:
        return Refused("No bolt to skip here. Put the run on hold instead.")
    if isinstance(prompt, Decide | StepState) or place.position not in session.plan.group_of:
        return Refused("Decide this first.")
    reason = foreign.clean(answer.reason, what="the reason")
    if not reason:
        return Refused("Type why it is skipped.")
    return Accepted(e.Skipped(**aside(session, stamp, prompt), step=place.id, position=place.position, reason=reason))


def fold(plan: Plan, progress: Progress, event: e.Skipped) -> Progress:
    """It is asked about before its section ends."""
    index = plan.index_of[event.step]
    skipped = SkippedAt(step=index, section=plan.steps[index].section, about=event.seq, reason=event.reason)
    state = replace(standing(progress, event.position), outcome="skipped")
    return advance(
        plan,
        replace(
            progress,
            skipped=progress.skipped.insert(event.position, skipped),
            positions=progress.positions.insert(event.position, state),
            found=None,
            ask_state=left_unsaid(plan, progress, event.step),
        ),
    )


def acts(line: Line, event: e.Skipped) -> tuple[Act, ...]:
    """It was skipped."""
    return (line.act("skipped", event.step, "skipped", position=event.position),)


def tell(event: e.Skipped, plan: Plan, tools: Tools) -> str:
    """Tell which one, and why."""
    del tools
    return f"{started(marked('skipped'))}: {bolt_at(event.position, plan)}, {event.reason}."
