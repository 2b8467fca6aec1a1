"""What every event gets from the moment it is answered: time, people, and what is to be noticed about the time."""

from __future__ import annotations

from decimal import Decimal
from typing import TypedDict

from clampbook.ledger.stamp import Stamp
from clampbook.run.fold.pulls import AFTER_LIMIT
from clampbook.run.plan import Step
from clampbook.run.progress import AFTER_SILENCE, standing
from clampbook.run.prompts import Prompt, Wait
from clampbook.run.session import Session, seconds_between
from clampbook.units import convert

BEFORE_THE_BREAK = "finished before the break"


class Common(TypedDict):
    """The fields that all events share, but for the line's own."""

    at: str
    offset: str
    by: str
    done_by: str | None
    late: str | None
    noted: tuple[str, ...]


def common(session: Session, stamp: Stamp, prompt: Prompt, *noted: str) -> Common:
    """Fields of an event answered at a prompt; an answer that ends a long silence says so."""
    done_by = stamp.done_by if stamp.done_by != stamp.by else None
    notes = (*_about_the_clock(session, stamp, prompt), *noted)
    late = BEFORE_THE_BREAK if getattr(prompt, "finished_before", False) else None
    return Common(at=stamp.text, offset=stamp.offset, by=stamp.by, done_by=done_by, late=late, noted=notes)


def _about_the_clock(session: Session, stamp: Stamp, prompt: Prompt) -> tuple[str, ...]:
    progress = session.progress
    if not progress.using or isinstance(prompt, Wait) or not progress.at:
        return ()
    gap = seconds_between(progress.at, stamp.at)
    if gap < 0:
        return ("clock doubtful", AFTER_SILENCE)
    return (AFTER_SILENCE,) if gap > session.plan.pause_limit else ()


def past_limit(session: Session, stamp: Stamp, step: Step) -> tuple[str, ...]:
    """A note where a pull comes after the time from applying sealant or locker has run out."""
    group = session.plan.group_named.get(step.group or "")
    if group is None or group.finish_within is None or step.position is None:
        return ()
    state = standing(session.progress, step.position)
    if state.applied is None or state.limit_waived:
        return ()
    limit = convert(group.finish_within.value, group.finish_within.unit, "s")
    return (AFTER_LIMIT,) if seconds_between(state.applied, stamp.at) > limit else ()


def too_soon(session: Session, stamp: Stamp, least: Decimal) -> str | None:
    """A sentence where a deliberate key comes sooner after the prompt than a slow pull takes."""
    if session.exempt or session.painted is None:
        return None
    passed = Decimal(str((stamp.at - session.painted).total_seconds()))
    if passed >= least:
        return None
    return f"A slow pull takes {least} s or more. If it is done, press the key again. Do not pull twice."
