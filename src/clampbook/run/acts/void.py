"""A saved pull was a bad one after all: it must be the latest of its bolt."""

from __future__ import annotations

from clampbook import text as foreign
from clampbook.ledger.stamp import Stamp
from clampbook.run import events as e
from clampbook.run.acts.held_against import line_meant
from clampbook.run.answers import Accepted, Refused, VoidStored
from clampbook.run.gather.asking import reason
from clampbook.run.gather.draft import NONE, Draft, Part
from clampbook.run.kinds.kind import Next, Outcome
from clampbook.run.kinds.stamping import aside
from clampbook.run.progress import standing
from clampbook.run.prompts import Choice, Prompt
from clampbook.run.session import Session
from clampbook.run.told.places import bolt_at
from clampbook.text import started


def complete(prompt: Prompt, session: Session, draft: Draft) -> Next:
    """Ask what was wrong with it."""
    del prompt
    if not session.progress.last_pull:
        return Refused("No pull is saved yet.")
    if not draft.has("reason"):
        return _why(session)
    given = draft.text("reason")
    return VoidStored("" if given == NONE else given)


def _why(session: Session) -> Part | Refused:
    """Ask for the reason, with the pull that is meant; on a form there may be none."""
    found = line_meant(session, None)
    if isinstance(found, Refused):
        return found
    _, step, _ = found
    named = (
        "The last answer" if step is None or step.position is None else started(bolt_at(step.position, session.plan))
    )
    if not session.plan.late:
        return reason("void", f"{named}: what was wrong with the last pull?")
    none = Choice(NONE, "none stands there", NONE)
    return Part("reason", f"{named}: the last pull is crossed out. Type the reason.", "line", (none,))


def decide(session: Session, prompt: Prompt, answer: VoidStored, stamp: Stamp) -> Outcome:
    """A saved pull was a bad one after all: it must be the latest of its bolt."""
    found = line_meant(session, answer.of)
    if isinstance(found, Refused):
        return found
    line, step, what = found
    if step is None or what not in ("reading", "release", "turn", "recheck"):
        return Refused("Only the latest pull of a bolt can be voided. Write a note about an older one.")
    if session.progress.skipped.get(step.position or "") is not None:
        bolt = started(bolt_at(step.position or "", session.plan))
        return Refused(f"{bolt} was skipped. It is asked again before this round ends.")
    return Accepted(
        e.Voided(
            **aside(session, stamp, prompt),
            step=step.id,
            attempt=standing(session.progress, step.position or "").attempt,
            of=line,
            cause=foreign.clean(answer.cause, what="the cause", most=80) or "bad pull",
        )
    )
