"""The answers that a person can give in a check, and what comes of an answer: closed unions of small frozen values."""

from __future__ import annotations

from msgspec import Struct

from clampbook.check.events import Event, Known, ZeroState
from clampbook.ledger.event import PauseCause
from clampbook.work.outcome import Refused as Refused
from clampbook.work.outcome import Unsure as Unsure


class Value(Struct, frozen=True):
    """Something typed where the prompt asks for it: the temperature, or a reading."""

    text: str


class Plus(Struct, frozen=True):
    """The one deliberate key: loaded once."""


class NotMeasured(Struct, frozen=True):
    """The temperature was not measured."""


class ZeroIs(Struct, frozen=True):
    """The zero as it was found."""

    state: ZeroState


class ScaleShows(Struct, frozen=True):
    """The scale as it stands after setting: number as typed, unit as chosen."""

    number: str
    unit: str


class WasAdjusted(Struct, frozen=True):
    """The tool was adjusted after it was checked as found."""

    what: str


class NotAdjusted(Struct, frozen=True):
    """The tool was left as it was found."""


class Finish(Struct, frozen=True):
    """The check is closed."""


class BadPull(Struct, frozen=True):
    """The pull just made was no good and its reading was not stored; a value may be added."""

    cause: str = "bad pull"
    value: str | None = None


class VoidStored(Struct, frozen=True):
    """The last stored pull was a bad one after all."""

    cause: str


class Correct(Struct, frozen=True):
    """The last stored reading was mistyped."""

    text: str
    known: Known


class Note(Struct, frozen=True):
    """A note."""

    text: str


class Pause(Struct, frozen=True):
    """Stop for now."""

    cause: PauseCause = "asked"


class GiveUp(Struct, frozen=True):
    """Abandon the check."""

    reason: str


Anywhere = BadPull | VoidStored | Correct | Note | Pause | GiveUp
Answer = Value | Plus | NotMeasured | ZeroIs | ScaleShows | WasAdjusted | NotAdjusted | Finish | Anywhere


class Accepted(Struct, frozen=True):
    """The answer is an event, to be written."""

    event: Event


Outcome = Accepted | Unsure | Refused
