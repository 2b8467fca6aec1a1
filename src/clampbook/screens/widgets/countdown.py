"""The time that is left of a wait, in words that change once a second, and as a bar that gets shorter."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta
from math import ceil

from rich.cells import cell_len
from textual.content import Content
from textual.message import Message
from textual.widgets import Static

from clampbook.text import printable

Clock = Callable[[], datetime]
_SECOND = timedelta(seconds=1)
_BAR, _LEAST_BAR, _APART = 40, 8, 3  # columns of the bar at most and at least, and before it


def spoken(span: timedelta) -> str:
    """A span as people say it: "9 min 12 s", "1 h 5 min", "42 s"; seconds are left out from an hour on."""
    seconds = max(0, round(span.total_seconds()))
    hours, minutes, rest = seconds // 3600, seconds // 60 % 60, seconds % 60
    if hours:
        return f"{hours} h {minutes} min" if minutes else f"{hours} h"
    if minutes:
        return f"{minutes} min {rest} s" if rest else f"{minutes} min"
    return f"{rest} s"


def figures(span: timedelta) -> str:
    """A span for the large figures: "9:12" minutes and seconds, "1:05:00" with hours; never below "0:00"."""
    seconds = max(0, -(-span // _SECOND))
    hours, minutes, rest = seconds // 3600, seconds // 60 % 60, seconds % 60
    return f"{hours}:{minutes:02}:{rest:02}" if hours else f"{minutes}:{rest:02}"


def left(since: datetime, lasts: timedelta, now: datetime) -> timedelta:
    """Give the rest of the wait; below zero once it is over. A clock that stands before `since` has waited nothing."""
    return lasts - max(now - since, timedelta())


def told(since: datetime, lasts: timedelta, now: datetime) -> str:
    """The state of the wait as one sentence."""
    rest = left(since, lasts, now)
    if rest > timedelta():
        return f"{spoken(_SECOND * -(-rest // _SECOND))} left of {spoken(lasts)}"
    return f"{spoken(lasts)} are over since {spoken(-rest)}" if -rest >= _SECOND else f"{spoken(lasts)} are over"


def bar(rest: timedelta, lasts: timedelta, columns: int) -> tuple[str, str]:
    """Draw what is left as a thick part of a line, and what is over as a thin one; something is left until all is
    over."""
    share = max(rest, timedelta()) / lasts if lasts > timedelta() else 0
    thick = min(columns, ceil(share * columns))
    return "━" * thick, "─" * (columns - thick)


class Countdown(Static):
    """Counts a wait down by the clock it was given. `told` is what stands there."""

    class Over(Message):
        """The time is up; sent once a wait."""

        def __init__(self, countdown: Countdown) -> None:
            super().__init__()
            self.countdown = countdown

        @property
        def control(self) -> Countdown:
            return self.countdown

    def __init__(self, clock: Clock, *, lead: str = "", id: str | None = None) -> None:
        super().__init__("", markup=False, id=id)
        self.told = ""
        self._clock, self._lead = clock, lead
        self._since: datetime | None = None
        self._lasts = timedelta()
        self._over = False

    def on_mount(self) -> None:
        self.set_interval(1, self.look)

    def count(self, since: datetime, lasts: timedelta, *, lead: str = "") -> None:
        """Count from `since` for as long as it `lasts`; `lead` says of what, as in "finish within: "."""
        self._since, self._lasts, self._lead, self._over = since, lasts, lead or self._lead, False
        self.look()

    @property
    def figures(self) -> str:
        """The rest of the wait, for the large figures; empty while nothing is counted."""
        return "" if self._since is None else figures(left(self._since, self._lasts, self._clock()))

    def look(self) -> None:
        """Look at the clock and paint only what changed."""
        if self._since is None:
            return
        now = self._clock()
        self._put(f"{self._lead}{told(self._since, self._lasts, now)}", left(self._since, self._lasts, now))
        if not self._over and left(self._since, self._lasts, now) <= timedelta():
            self._over = True
            self.post_message(self.Over(self))

    def _put(self, text: str, rest: timedelta) -> None:
        if text != self.told:
            self.told = text
            words = printable(text)
            room = min(_BAR, self.app.size.width - 2 - cell_len(words) - _APART)
            thick, thin = bar(rest, self._lasts, room) if room >= _LEAST_BAR else ("", "")
            self.update(Content.assemble(words, " " * _APART if thick or thin else "", thick, (thin, "$quiet")))
