"""The events of a check: one frozen value for each kind of line in its daybook.

Events are facts in the past tense; quantities are decimal strings. A pull is in the tool's unit but for what was typed.
`seq` and `prev` belong to the line and are filled in when it is written.
"""

from __future__ import annotations

from functools import cache
from typing import Literal

import msgspec

from clampbook.check.plan import Phase
from clampbook.ledger.event import LineBase, PauseCause
from clampbook.people import Person
from clampbook.tools.model import CheckVerdict

ZeroState = Literal["good", "wrong", "unknown"]
Known = Literal["the tool still shows it", "a second person saw it", "from memory"]


class Opened(LineBase, frozen=True, kw_only=True, tag="opened"):
    """The first line: what was frozen, by whom, in which book, and the hash of the book's log at that moment."""

    daybook: int
    check: str
    book: str
    log_head: str
    plan_sha256: str
    person: Person
    version: str
    clock: Literal["system", "handed in"]


class TemperatureRead(LineBase, frozen=True, kw_only=True, tag="temperature_read"):
    """The warmth of tool and reference, in °C; `value` is None where nobody measured it."""

    typed: str | None
    value: str | None


class Zeroed(LineBase, frozen=True, kw_only=True, tag="zeroed"):
    """Zero with no load, as it was found before any correction."""

    phase: Phase
    what: Literal["reference", "tool"]
    state: ZeroState


class Exercised(LineBase, frozen=True, kw_only=True, tag="exercised"):
    """The tool was pulled to its maximum once, unrecorded, in the direction of a series (its number, from 0)."""

    phase: Phase
    series: int


class ToolSet(LineBase, frozen=True, kw_only=True, tag="tool_set"):
    """The reading of a setting tool's scale after it was set to a point (its number, from 0)."""

    phase: Phase
    series: int
    point: int
    typed: str
    value: str
    unit: str


class Pulled(LineBase, frozen=True, kw_only=True, tag="pulled"):
    """One reading: what the tool indicated or was set to, what the reference showed, and how far that is off (%).

    `typed` and `unit` are as typed; `indicated` and `reference` are in the tool's unit.
    """

    phase: Phase
    series: int
    point: int
    typed: str
    unit: str
    indicated: str
    reference: str
    deviation: str
    unusual: str | None = None


class Voided(LineBase, frozen=True, kw_only=True, tag="voided"):
    """A bad pull. `of` is the line it names; None: its reading was never stored (a value may stand here)."""

    of: int | None
    cause: str
    value: str | None = None


class Corrected(LineBase, frozen=True, kw_only=True, tag="corrected"):
    """A mistyped reading put right; the first one stays in the daybook at line `of`."""

    of: int
    typed: str
    unit: str
    indicated: str
    reference: str
    deviation: str
    known: Known


class FoundRead(LineBase, frozen=True, kw_only=True, tag="readings_read"):
    """Readings were read from the file that lies beside the plan."""

    file: str
    rows: int


class Adjusted(LineBase, frozen=True, kw_only=True, tag="adjusted"):
    """The tool was adjusted after it was checked as found: what was done. It is checked once more, as left."""

    what: str


class LeftAlone(LineBase, frozen=True, kw_only=True, tag="left_alone"):
    """The tool was not adjusted: as found is as left."""


class Noted(LineBase, frozen=True, kw_only=True, tag="noted"):
    """A note."""

    text: str


class Paused(LineBase, frozen=True, kw_only=True, tag="paused"):
    """The work stops for a while."""

    cause: PauseCause


class Resumed(LineBase, frozen=True, kw_only=True, tag="resumed"):
    """The program was started again. `gap` in seconds since the line before, None where the clock is implausible."""

    gap: str | None
    torn_bytes: int = 0
    person: Person | None = None


class Closed(LineBase, frozen=True, kw_only=True, tag="closed"):
    """The last line of a check that was brought to its end; `as_left` is None where nothing was adjusted."""

    as_found: CheckVerdict | None
    as_left: CheckVerdict | None


class Abandoned(LineBase, frozen=True, kw_only=True, tag="abandoned"):
    """The last line of a check that was given up; what was found so far still counts against the tool."""

    reason: str


Event = (
    Opened
    | TemperatureRead
    | Zeroed
    | Exercised
    | ToolSet
    | Pulled
    | Voided
    | Corrected
    | FoundRead
    | Adjusted
    | LeftAlone
    | Noted
    | Paused
    | Resumed
    | Closed
    | Abandoned
)


@cache
def _decoder() -> msgspec.json.Decoder[Event]:
    """Made at the first line: it looks at every kind, which whoever only writes or names one need not wait for."""
    return msgspec.json.Decoder(Event)


def read(line: bytes) -> Event:
    """One daybook line as an event; raises msgspec.ValidationError or DecodeError where it is none."""
    return _decoder().decode(line)
