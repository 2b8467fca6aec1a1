"""The stamp that every event gets from the moment it is answered: time, people, and what is to be noticed about
the time.
"""

from __future__ import annotations

from typing import NotRequired, TypedDict

from clampbook.ledger.stamp import Stamp
from clampbook.run.events import Late
from clampbook.run.progress import AFTER_SILENCE
from clampbook.run.prompts import Prompt, Wait
from clampbook.run.session import Session, seconds_between


class Common(TypedDict):
    """The fields that all events share, but for the line's own."""

    at: str
    offset: str
    by: str
    done_by: str | None
    late: Late | None
    noted: tuple[str, ...]
    typed_at: NotRequired[str | None]


def common(session: Session, stamp: Stamp, prompt: Prompt, *noted: str) -> Common:
    """Fields of an event answered at a prompt; an answer that ends a long silence says so."""
    notes = (*_about_the_clock(session, stamp, prompt), *noted)
    before = getattr(prompt, "finished_before", False) and not session.plan.late
    return Common(
        at=stamp.text,
        offset=stamp.offset,
        by=stamp.by,
        done_by=stamp.other_hands,
        late="before_break" if before else None,
        noted=notes,
        typed_at=stamp.typed_text,
    )


def aside(session: Session, stamp: Stamp, prompt: Prompt) -> Common:
    """Fields of an event that is not about what the prompt asks, and so is not late because that is."""
    fields = common(session, stamp, prompt)
    fields["late"] = None
    return fields


def _about_the_clock(session: Session, stamp: Stamp, prompt: Prompt) -> tuple[str, ...]:
    progress = session.progress
    if not progress.using or isinstance(prompt, Wait) or not progress.at or session.plan.late:
        return ()
    gap = seconds_between(progress.at, stamp.at)
    if gap < 0:
        return ("clock implausible", AFTER_SILENCE)
    return (AFTER_SILENCE,) if gap > session.plan.pause_limit else ()
