"""The answers that a person can give: a closed union of small frozen values, already complete (see `parts` for
gathering them).

People are resolved before they get here; everything typed is still text and is parsed and judged in `decide`.
"""

from __future__ import annotations

from typing import Literal

from msgspec import Struct

from clampbook.ledger.event import PauseCause
from clampbook.people import Person
from clampbook.run.events import Event, Mark
from clampbook.run.events import Known as Known
from clampbook.work.outcome import Refused as Refused
from clampbook.work.outcome import Unsure as Unsure

KnownOfATool = Literal["the tool still shows it", "a second person saw it", "from memory"]


class Value(Struct, frozen=True):
    """Something typed where the prompt asks for it: a reading, a stroke, a measured value, a text, a lot."""

    text: str


class Plus(Struct, frozen=True):
    """The one deliberate key: clicked, done, read, marks meet, begun, loosened."""


class LeaveOut(Struct, frozen=True):
    """A question of the sheet that need not be answered is left out."""


class TakeUp(Struct, frozen=True):
    """A tool is taken up, at a TakeTool prompt or in the middle (a change); with a reason where it does not suit.

    `adapter` is what stands between it and the fastener, None where nothing does. `same` says of one whose serial
    number was changed whether it is the same tool. `length` and `angle` are those of the adapter as typed, where its
    entry does not say them.
    """

    tool: str
    reason: str | None = None
    adapter: str | None = None
    same: bool | None = None
    length: str | None = None
    angle: str | None = None


class ScaleShows(Struct, frozen=True):
    """The scale as it stands after setting: number as typed, unit as chosen."""

    number: str
    unit: str


class Zero(Struct, frozen=True):
    """The zero as it was found."""

    state: Literal["good", "wrong", "unknown", "not written"]


class Look(Struct, frozen=True):
    """The answer to an inspection; positions that are not as expected; who looked at a hold point, and why the same
    person if it is no other."""

    answer: Literal["yes", "no"]
    positions: tuple[str, ...] = ()
    inspector: Person | None = None
    reason: str | None = None


class Put(Struct, frozen=True):
    """Sealant or locker was put on, with its lot where that is asked."""

    lot: str | None = None


class Still(Struct, frozen=True):
    """A recheck: it moved, or not; with what the tool shows where it shows something."""

    moved: bool
    text: str | None = None


class AtMark(Struct, frozen=True):
    """The way a fastener that was backed off and tightened again came back to its mark."""

    mark: Mark


class Slot(Struct, frozen=True):
    """The way a castle nut came to its slot; `unread`: turned on with a tool that shows nothing."""

    how: Literal["already", "turned", "unread", "not"]


class DoneUpTo(Struct, frozen=True):
    """Of a round that is confirmed in one answer, the positions up to this one are done."""

    position: str


class Found(Struct, frozen=True):
    """The state of the step at hand as found after a break; of a turn that was begun, how many degrees it is
    from its mark in all (None: not known).
    """

    state: Literal[
        "not started", "started, mark still there", "started, not finished", "mark lost", "finished, not entered"
    ]
    degrees: str | None = None


class Resolve(Struct, frozen=True):
    """A decision with its parts."""

    choice: str
    scope: str | None = None
    reason: str | None = None
    person: Person | None = None
    back_to: int | None = None


class GoOnEarly(Struct, frozen=True):
    """A wait is cut short, with a reason."""

    reason: str


class PutBack(Struct, frozen=True):
    """A tool is put back."""

    wound_down: bool | None = None


class Draw(Struct, frozen=True):
    """A sample is drawn by the inspector with a number; with a reason where that is no other person."""

    number: str
    inspector: Person
    reason: str | None = None


class Sign(Struct, frozen=True):
    """A role is signed for by typed name; `at` is the time that stands beside it on a paper form, None: as before, or
    none where it is `undated`."""

    person: Person
    reason: str | None = None
    at: str | None = None
    undated: bool = False


class SkipSignOff(Struct, frozen=True):
    """A role that need not sign is left unsigned."""


class Finish(Struct, frozen=True):
    """The run is closed; "not accepted" needs a reason."""

    accepted: bool
    reason: str | None = None


class BadPull(Struct, frozen=True):
    """The pull just made was no good (jerk, chatter, slipped socket); with what its tool showed, where it was read,
    or whether a setting tool clicked (None: not sure)."""

    cause: str = "bad pull"
    value: str | None = None
    clicked: bool | None = None


class PulledAnother(Struct, frozen=True):
    """Another position was pulled than the one asked for: with what the tool showed; or, with a setting tool, whether
    it clicked (None: not sure)."""

    position: str
    text: str | None = None
    clicked: bool | None = True


class Skip(Struct, frozen=True):
    """The position at hand is skipped."""

    reason: str


class Broke(Struct, frozen=True):
    """The fastener at hand broke, stripped, never reaches its torque, or is the wrong part."""

    how: Literal["broken", "stripped", "never reaches the torque", "wrong or missing part"]
    reached: str | None = None


class Correct(Struct, frozen=True):
    """A stored value was mistyped. `of` None: the last one that can be corrected; `person` is the second one who saw
    what it was."""

    text: str
    known: Known
    of: int | None = None
    person: Person | None = None


class TakeBack(Struct, frozen=True):
    """The last answer was typed wrong from a paper form: it is asked again, as if it had not been typed."""


class VoidStored(Struct, frozen=True):
    """A stored pull was a bad one after all. `of` None: the last pull."""

    cause: str
    of: int | None = None


class Blank(Struct, frozen=True):
    """Nothing stands on the paper form here; or a tick, and no number (`ticked`)."""

    ticked: bool = False


class Ticked(Struct, frozen=True):
    """Some lines of a block are ticked on the paper form, and the others are not."""

    lines: tuple[str, ...] = ()


class PaperTime(Struct, frozen=True):
    """A time that stands on the paper form, as typed, and who did it from there on; None: as before. `out_of_order`: it
    is before the last one, and stands there all the same. `blank`: no time stands there."""

    text: str | None = None
    done_by: Person | None = None
    out_of_order: bool = False
    blank: bool = False


class Note(Struct, frozen=True):
    """A note; `about` names an older line. One that is a row of a paper form has the `time` beside it, the position
    that it belongs to, and whose initials stand there."""

    text: str
    about: int | None = None
    time: str | None = None
    position: str | None = None
    initials: Person | None = None


class Pause(Struct, frozen=True):
    """Stop for now."""

    cause: PauseCause = "asked"


class Hold(Struct, frozen=True):
    """Let the run stand unfinished, with a reason."""

    reason: str


class Drop(Struct, frozen=True):
    """A tool fell; with a reason where the work goes on with it."""

    tool: str
    going_on: str | None = None


class SuspectTool(Struct, frozen=True):
    """A person suspects a tool: what is pulled with it from now on is in question."""

    tool: str
    why: str


class Arrived(Struct, frozen=True):
    """A line came from a tool where none was asked for; the position it belongs to, if any."""

    text: str
    belongs_to: str | None = None


class TurnMap(Struct, frozen=True):
    """Turn the picture: quarter turns clockwise in all, and whether it is seen from below."""

    quarters: int
    from_below: bool = False


class HandTo(Struct, frozen=True):
    """Another person goes on; `hands` is a second one who does the work, if any."""

    to: Person
    hands: Person | None = None


class GiveUp(Struct, frozen=True):
    """Abandon the run."""

    reason: str


Anywhere = (
    TakeUp
    | BadPull
    | PulledAnother
    | Skip
    | Broke
    | Correct
    | TakeBack
    | VoidStored
    | Note
    | PaperTime
    | Pause
    | Hold
    | Drop
    | SuspectTool
    | Arrived
    | TurnMap
    | HandTo
    | GiveUp
)
Answer = (
    Value
    | Plus
    | Blank
    | Ticked
    | LeaveOut
    | ScaleShows
    | Zero
    | Look
    | Put
    | Still
    | AtMark
    | Slot
    | DoneUpTo
    | Found
    | Resolve
    | GoOnEarly
    | PutBack
    | Draw
    | Sign
    | SkipSignOff
    | Finish
    | Anywhere
)


class Accepted(Struct, frozen=True):
    """The answer is an event, to be written."""

    event: Event
