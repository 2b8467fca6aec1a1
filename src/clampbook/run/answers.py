"""What a person can answer: a closed union of small frozen values, already complete (see `parts` for gathering them).

People are resolved before they get here; everything typed is still text and is parsed and judged in `decide`.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from clampbook.people import Person
from clampbook.run.events import Event

Known = Literal["the tool still shows it", "a second person saw it", "from memory"]


@dataclass(frozen=True, slots=True)
class Value:
    """Something typed where the prompt asks for it: a reading, a stroke, a measured value, a text, a lot."""

    text: str


@dataclass(frozen=True, slots=True)
class Plus:
    """The one deliberate key: released once, done, read, marks meet, begun, loosened."""


@dataclass(frozen=True, slots=True)
class LeaveOut:
    """A question of the sheet that need not be answered is left out."""


@dataclass(frozen=True, slots=True)
class TakeUp:
    """A tool is taken up, at a TakeTool prompt or in the middle (a change); with a reason where it does not suit."""

    tool: str
    reason: str | None = None


@dataclass(frozen=True, slots=True)
class ScaleShows:
    """What the scale shows after setting: number as typed, unit as chosen."""

    number: str
    unit: str


@dataclass(frozen=True, slots=True)
class Zero:
    """How the zero was found."""

    state: Literal["good", "came back wrong", "unknown"]


@dataclass(frozen=True, slots=True)
class Look:
    """The answer to an inspection; positions that are not as expected; who looked at a hold point, and why the same
    person if it is no other."""

    answer: Literal["yes", "no"]
    positions: tuple[str, ...] = ()
    inspector: Person | None = None
    reason: str | None = None


@dataclass(frozen=True, slots=True)
class Put:
    """Sealant or locker was put on, with its lot where that is asked."""

    lot: str | None = None


@dataclass(frozen=True, slots=True)
class Still:
    """A recheck: it moved, or not; with what the tool shows where it shows something."""

    moved: bool
    text: str | None = None


@dataclass(frozen=True, slots=True)
class DoneUpTo:
    """Of a round that is confirmed in one answer, the positions up to this one are done."""

    position: str


@dataclass(frozen=True, slots=True)
class Found:
    """What is found at the step at hand after a break."""

    state: Literal["not begun", "begun, mark kept", "begun, not finished", "mark lost", "finished, not typed"]


@dataclass(frozen=True, slots=True)
class Resolve:
    """A decision with its parts."""

    choice: str
    scope: str | None = None
    reason: str | None = None
    person: Person | None = None
    back_to: int | None = None


@dataclass(frozen=True, slots=True)
class GoOnEarly:
    """A wait is cut short, with a reason."""

    reason: str


@dataclass(frozen=True, slots=True)
class PutBack:
    """A tool is put back."""

    wound_down: bool | None = None


@dataclass(frozen=True, slots=True)
class Sign:
    """A role is signed for by typed name."""

    person: Person
    reason: str | None = None


@dataclass(frozen=True, slots=True)
class SkipSignOff:
    """A role that need not sign is left unsigned."""


@dataclass(frozen=True, slots=True)
class Finish:
    """The run is closed; "not accepted" needs a reason."""

    accepted: bool
    reason: str | None = None


@dataclass(frozen=True, slots=True)
class BadPull:
    """The pull just made was no good (jerk, chatter, slipped socket); a value may be added."""

    cause: str = "bad pull"
    value: str | None = None


@dataclass(frozen=True, slots=True)
class PulledAnother:
    """Another position was pulled than the one asked for; `text` None: the tool released."""

    position: str
    text: str | None = None


@dataclass(frozen=True, slots=True)
class LeaveForLater:
    """The position at hand is set aside."""

    reason: str


@dataclass(frozen=True, slots=True)
class Broke:
    """The fastener at hand broke, stripped, never reaches its torque, or is the wrong part."""

    how: Literal["broken", "stripped", "never reaches the torque", "wrong or missing part"]
    reached: str | None = None


@dataclass(frozen=True, slots=True)
class Correct:
    """A stored value was mistyped. `of` None: the last one that can be corrected."""

    text: str
    known: Known
    of: int | None = None


@dataclass(frozen=True, slots=True)
class VoidStored:
    """A stored pull was a bad one after all. `of` None: the last pull."""

    cause: str
    of: int | None = None


@dataclass(frozen=True, slots=True)
class Note:
    """A note; `about` names an older line."""

    text: str
    about: int | None = None


@dataclass(frozen=True, slots=True)
class Pause:
    """Stop for now."""

    cause: Literal["asked", "end of input"] = "asked"


@dataclass(frozen=True, slots=True)
class Hold:
    """Let the run stand unfinished, with a reason."""

    reason: str


@dataclass(frozen=True, slots=True)
class Drop:
    """A tool fell; with a reason where the work goes on with it."""

    tool: str
    going_on: str | None = None


@dataclass(frozen=True, slots=True)
class DoubtTool:
    """A tool's readings since a line (None: since its last good zero or take-up) are doubted."""

    tool: str
    why: str
    since: int | None = None


@dataclass(frozen=True, slots=True)
class Arrived:
    """A line came from a tool where none was asked for; the position it belongs to, if any."""

    text: str
    belongs_to: str | None = None


@dataclass(frozen=True, slots=True)
class TurnMap:
    """Turn the picture: quarter turns clockwise in all, and whether it is seen from below."""

    quarters: int
    from_below: bool = False


@dataclass(frozen=True, slots=True)
class HandTo:
    """Another person goes on; `hands` is a second one who does the work, if any."""

    to: Person
    hands: Person | None = None


@dataclass(frozen=True, slots=True)
class GiveUp:
    """Abandon the run."""

    reason: str


Anywhere = (
    TakeUp
    | BadPull
    | PulledAnother
    | LeaveForLater
    | Broke
    | Correct
    | VoidStored
    | Note
    | Pause
    | Hold
    | Drop
    | DoubtTool
    | Arrived
    | TurnMap
    | HandTo
    | GiveUp
)
Answer = (
    Value
    | Plus
    | LeaveOut
    | ScaleShows
    | Zero
    | Look
    | Put
    | Still
    | DoneUpTo
    | Found
    | Resolve
    | GoOnEarly
    | PutBack
    | Sign
    | SkipSignOff
    | Finish
    | Anywhere
)


@dataclass(frozen=True, slots=True)
class Accepted:
    """The answer is an event, to be written."""

    event: Event


@dataclass(frozen=True, slots=True)
class Unsure:
    """The value may be a slip; asked again openly. `doubt` says why, without offering the value that would fit."""

    doubt: str
    code: str
    step: str


@dataclass(frozen=True, slots=True)
class Refused:
    """The answer does not fit; a sentence says what does."""

    sentence: str
