"""A clock handed in from outside, for scripts and tests: CLAMPBOOK_CLOCK, in plain mode only."""

from __future__ import annotations

import re
import time
from datetime import datetime, timedelta
from typing import Literal

from clampbook.ledger.stamp import Clock, SystemClock

NAME = "CLAMPBOOK_CLOCK"
HOW = "write a time with its zone, such as 2026-03-02T09:00:00Z, and +3s behind it to go on by 3 s an answer"
_WITH_STEP = re.compile(r"(.+?)\+(\d{1,6}(?:\.\d{1,3})?)s")


class HandedIn:
    """Starts at a given time. With a step it moves on by that much a line and not at all between; without, it runs."""

    def __init__(self, start: datetime, step: timedelta | None) -> None:
        self._now = start
        self._step = step
        self._begun = time.monotonic()

    def now(self) -> datetime:
        """The time now, with the offset it was given in."""
        if self._step is not None:
            return self._now
        return self._now + timedelta(seconds=time.monotonic() - self._begun)

    def line_read(self) -> None:
        """One more line was read."""
        if self._step is not None:
            self._now += self._step


def clock_of(setting: str | None) -> Clock:
    """The clock that a value of CLAMPBOOK_CLOCK names; the system's where there is none. Raises ValueError."""
    if not setting:
        return SystemClock()
    found = _WITH_STEP.fullmatch(setting.strip())
    written, step = (found[1], timedelta(seconds=float(found[2]))) if found else (setting.strip(), None)
    try:
        start = datetime.fromisoformat(written)
    except ValueError as error:
        raise ValueError(f"{NAME} is {setting!r}, which is no time: {HOW}") from error
    if start.tzinfo is None:
        raise ValueError(f"{NAME} is {setting!r}, which has no zone: {HOW}")
    return HandedIn(start, step)


def source(clock: Clock) -> Literal["system", "handed in"]:
    """Name of this clock in a run's first line."""
    return "handed in" if isinstance(clock, HandedIn) else "system"
