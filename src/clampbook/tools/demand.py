"""Demand of a step on a tool, and the circumstances under which one is looked at."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Literal

from msgspec import Struct

from clampbook.procedure.model import Accept
from clampbook.tools.model import Adapter, Judges, Tool, Use
from clampbook.tools.setting import Ends
from clampbook.tools.state import State

Need = Literal["torque", "reading", "angle", "measure"]
_OPEN: Ends = (None, None)


class Unread(Struct, frozen=True, kw_only=True):
    """Prevailing torque that is still to be read: how much of it target and window hold already, the greatest that it
    may be, and up to which nothing is added."""

    included: Decimal
    most: Decimal
    free: Decimal = Decimal(0)


class First(Struct, frozen=True):
    """The instrument that took the first of two values, and what that was."""

    tool: Tool
    what: str


class Demand(Struct, frozen=True, kw_only=True):
    """A torque (from either type), a torque reading, an angle, or what is measured with an instrument; `target`,
    `window` and `up_to` are in `unit`.

    `up_to` is the torque that a turn may end with; `anticlockwise` says that this is the way to tighten.
    `accept` says whether the window is narrowed by what is not known of an indicating tool.
    `least`, in `unit`, is what it should be able to show where nobody knows yet what will be read; then nothing is
    aimed at. `stops` is False where the pull goes on until the fastener moves, and the target only says what is read
    then. `unread`, in `unit`, is the prevailing torque that will move target and window up once it is read.
    Of what is measured `window` is where the reading must lie, and `width` how wide the window is that judges it, or
    what comes of it; `differs` says that this is the difference of two readings, the `first` of which is made. `judges`
    says that the width is that of a spread, or of the window of a difference.
    `adapter` is what must stand on the tool, in the procedure's words.
    """

    need: Need
    target: Decimal | None = None
    window: Ends = _OPEN
    unit: str | None = None
    up_to: Decimal | None = None
    anticlockwise: bool = False
    accept: Accept = "simple"
    least: Decimal | None = None
    stops: bool = True
    unread: Unread | None = None
    width: Decimal | None = None
    differs: bool = False
    first: First | None = None
    judges: Judges | None = None
    adapter: str | None = None

    @property
    def point(self) -> Decimal | None:
        """The target; where there is none the middle of the window, or its one end, stands for it."""
        if self.least is not None:
            return None
        if self.target is not None:
            return self.target
        low, high = self.window
        if low is not None and high is not None:
            return (low + high) / 2
        return low if low is not None else high


class Circumstances(Struct, frozen=True, kw_only=True):
    """The adapter that the tool is taken with, the day, and what the book knows of the tool's use.

    `state` is the tool's state on that day where somebody has looked already.
    """

    adapter: Adapter | None = None
    today: date | None = None
    use: Use | None = None
    state: State | None = None
