"""A time of a paper form as it is typed at a moment of its run: after the last one, and before now."""

from __future__ import annotations

from datetime import datetime

from clampbook.run.on_form.times import earlier, moment_on_form
from clampbook.run.session import Session


def typed_on_form(session: Session, text: str, now: datetime | None = None) -> datetime | str:
    """The moment that a typed time means, or a sentence where it is none; `now` is when it is typed, where the session
    does not say so."""
    progress = session.progress
    return moment_on_form(text, progress.at, progress.offset, now or session.now, session.there)


def stands_on_form(session: Session, text: str, now: datetime | None = None) -> datetime | str:
    """The moment of a time beside a row that was written at any time of the work, also before the last one; or a
    sentence where it is none."""
    return earlier_on_form(session, text) or typed_on_form(session, text, now)


def earlier_on_form(session: Session, text: str) -> datetime | None:
    """The moment of a time that lies before the last one; None of any other."""
    return earlier(text, session.progress.at, session.progress.offset, session.there)
