"""The questions that a person can be asked: a closed union of small frozen values. A screen shows one of these
and sends an Answer.

Values are exact decimals in the unit named beside them; sentences are made in `wording`.
"""

from __future__ import annotations

from decimal import Decimal
from typing import Literal

from msgspec import Struct

from clampbook.people import Person
from clampbook.procedure.model import AfterFailure, Ask, Part, Scope, Window
from clampbook.run.answers import Answer
from clampbook.run.events import LeftAt
from clampbook.run.fold.verdict import Judged
from clampbook.run.in_hand.aim import NotAdded
from clampbook.run.in_hand.offers import ToolOffer as ToolOffer
from clampbook.run.progress import Why
from clampbook.run.told.clamp_loads import EstimateLine
from clampbook.tools.aim import Aim
from clampbook.tools.model import Adapter, Tool
from clampbook.tools.setting import Setting

Ends = tuple[Decimal | None, Decimal | None]


class Where(Struct, frozen=True):
    """The place in the work: `number` of `of` plan steps; `again` is (2, 3) for the second of three inserted steps.

    `reason` says why work was inserted ("from the beginning", "another round" …), None in the plan itself.
    """

    number: int
    of: int
    id: str
    stage: int
    round: int = 1
    rounds: int = 1
    group: str | None = None
    position: str | None = None
    set: str | None = None
    point: str | None = None
    again: tuple[int, int] | None = None
    reason: str | None = None
    attempt: int = 1
    begun_again: int = 0  # how often it was taken from the beginning in this run
    one: str | None = None  # what one of the group is called
    manual: str | None = None  # where it stands in the manual
    note: str | None = None
    fits: str | None = None  # what fastener belongs here
    kind: str = ""  # "long" or "short", where that tells it from others of its group
    estimate: EstimateLine | None = None  # what this step does to the clamp load, as it was planned
    left_hand: bool = False  # the thread here is tightened counterclockwise
    drawn: tuple[int, int, int] | None = None  # in a sample: its size, of how many positions, and how many were added
    joint: str | None = None  # which of the joints of this run
    left_before: tuple[LeftAt, ...] = ()  # what the form of the run that is followed up left open here
    on_form: bool = False  # it is read off a filled paper form, and nothing is to be done now
    numbered: int | None = None  # the number by which its stage is told, where it is not that of the plan

    @property
    def stage_told(self) -> int:
        """The number of its stage as people read it: at each of several joints they begin at 1."""
        return self.stage if self.numbered is None else self.numbered


class Choice(Struct, frozen=True):
    """One of several answers: the key that stands for it, what it says, and what it means.

    `value` is a word that stays the same whatever the text says: the answer is made of it, and scripts rely on it.
    Codes are in snake case; a tool or a person is its id, a position its label, a unit its name. `gives` is the answer
    that it begins, complete or to be asked on; `words` can be typed for it as well, in small letters. `costs` says what
    work it makes, where the plan tells.
    """

    key: str
    text: str
    value: str
    gives: Answer | None = None
    words: tuple[str, ...] = ()
    costs: str = ""


class StartSheet(Struct, frozen=True):
    """One item of the start sheet, or of the end (`when`). Exactly one of ask, part, or lines is what it is about; or
    none, where it asks whether all fasteners of a group are new.

    `item` names it in the daybook: "cautions", "ask:NAME", "prepare:GROUP", "part:NAME", "new:GROUP", "left
    over:NAME". `last` is what was answered when the same work was done last, offered for choosing. `notices` stand
    beside the first item alone: which stages no tool of the book can hold, which have none in reserve. `before` is what
    a meter showed at the run that is followed up, in the unit of the question, and `due_at` at how much this is due.
    """

    item: str
    when: Literal["start", "end"]
    required: bool
    lines: tuple[str, ...] = ()
    group: str | None = None
    ask: Ask | None = None
    part: Part | None = None
    last: str | None = None
    notices: tuple[str, ...] = ()
    needed: int | None = None  # so many of a part that is counted
    one_use: bool = False  # it asks for fasteners that are used once
    before: Decimal | None = None
    due_at: Decimal | None = None
    on_form: bool = False  # it is read off a filled paper form


class TakeTool(Struct, frozen=True):
    """A tool is needed: "torque" (either type), "reading" (an indicating one), "angle" (a gauge, or marks), "measure"
    (an instrument, for `what`).

    `unread` says what is wrong with the tools file where it cannot be read. `adapter` is what must stand on it, and
    `lacking` is True where no entry of tools.toml is one.
    """

    need: Literal["torque", "reading", "angle", "measure"]
    offers: tuple[ToolOffer, ...]
    where: Where
    target: Decimal | None
    window: Ends | None
    unit: str | None
    unread: str | None = None
    what: str | None = None
    adapter: str | None = None
    lacking: bool = False


class Aimed(Struct, frozen=True):
    """A place in the work and what its pull aims at, with the figures that are read off it."""

    where: Where
    aim: Aim

    @property
    def tool(self) -> Tool:
        """The tool in hand."""
        return self.aim.tool

    @property
    def adapter(self) -> Adapter | None:
        """The adapter that stands between it and the fastener."""
        return self.aim.adapter

    @property
    def reading(self) -> bool:
        """True: type what the tool shows; False: a setting tool, one deliberate key."""
        return self.aim.reading

    @property
    def unit(self) -> str:
        """The procedure's unit, in which `target` and `window` are."""
        return self.aim.unit

    @property
    def target(self) -> Decimal | None:
        """At the fastener, with prevailing torque added."""
        return self.aim.target

    @property
    def window(self) -> Ends:
        """The window that judges the pull, at the fastener."""
        return self.aim.window

    @property
    def set_to(self) -> Setting | None:
        """The mark that a setting tool is set to; None for one that shows a number."""
        return self.aim.set_to

    @property
    def stop_at(self) -> Decimal | None:
        """The value to stop at with a tool that shows a number, in its unit."""
        return self.aim.stop_at


class SetTool(Aimed, frozen=True):
    """Set the tool, then type what its scale shows: number, and unit by its number in `units` (fixed order)."""

    units: tuple[str, ...]
    first: bool = False  # it was taken up just now
    finished_before: bool = False  # the pull was made before a break: nothing is set, only read

    @property
    def to(self) -> Setting:
        """The mark that is to be set; only a setting tool is."""
        assert self.aim.set_to is not None
        return self.aim.set_to


class ZeroTool(Struct, frozen=True):
    """Look at the tool's zero with no load: good, wrong, or unknown; on a form also how it was `after` the work."""

    tool: Tool
    where: Where
    after: bool = False


class Due(Struct, frozen=True):
    """Sealant or locker was put on at `since` (as in the daybook) and allows so many seconds; `left` of them when the
    question was shown, None where nobody looked.
    """

    since: str
    lasts: Decimal
    left: Decimal | None = None


class Tighten(Aimed, frozen=True):
    """One pull. `together` are the positions shown as one; `last_value` is a reading of this position that stayed
    under, as its tool showed it."""

    together: tuple[str, ...]
    least_pull: Decimal
    prevailing: Decimal | None = None
    not_added: NotAdded | None = None  # why that prevailing torque is not in the target
    last_value: str | None = None
    finished_before: bool = False
    missing: Window | None = None  # between what the stretch that is missing lies, by how it was last measured
    due: Due | None = None
    holds: Decimal | None = None  # what the fastener holds already, above the window: this pull does nothing


class Turn(Struct, frozen=True):
    """A turn in degrees: `done` so far, `left` is the remainder (least, most) from the same mark.

    `by_marks`: no gauge, one deliberate key when the marks say so.
    """

    where: Where
    tool: Tool
    by_marks: bool
    target: Decimal
    window: Ends
    done: Decimal
    left: Ends
    in_strokes: bool
    together: tuple[str, ...]
    finished_before: bool = False
    due: Due | None = None


class Align(Struct, frozen=True):
    """Turn on to the next slot, never back, not above `at_most` (in `unit`, at the fastener); `slot` degrees apart.
    `aim` has the tool in hand that shows torque, None where none is in hand."""

    where: Where
    at_most: Decimal | None
    unit: str
    slot: Decimal
    aim: Aim | None = None

    @property
    def tool(self) -> Tool | None:
        """The tool that shows the torque."""
        return None if self.aim is None else self.aim.tool


class Loosen(Struct, frozen=True):
    """Loosen fully, or by degrees. `work` True: before starting over, not a step of the plan; `already` True: it is
    known to be loose, and nothing is left to loosen; `let_down` True: a tensioner holds it, and its pressure is let
    down."""

    where: Where
    position: str
    by: Decimal | None = None
    work: bool = False
    finished_before: bool = False
    already: bool = False
    let_down: bool = False


class Measure(Struct, frozen=True):
    """Type a measured value. `part` names what is measured beside a pull; `aim` has the tool that must show it where
    that is a torque, `instrument` what measures it, None where nobody knows with what."""

    where: Where
    what: str
    unit: str
    window: Ends | None
    part: Literal["final torque", "stretch", "prevailing torque"] | None = None
    minus: Decimal | None = None
    aim: Aim | None = None
    so_far: tuple[tuple[str, Decimal], ...] = ()  # the other points that are measured
    may_be_outside: tuple[int, int] | None = None  # so many of so many points
    apart: Decimal | None = None  # how far its points may lie from each other, in `unit`
    instrument: Tool | None = None

    @property
    def tool(self) -> Tool | None:
        """The tool that must show it."""
        return self.instrument if self.aim is None else self.aim.tool

    @property
    def adapter(self) -> Adapter | None:
        """The adapter that stands between that tool and the fastener."""
        return None if self.aim is None else self.aim.adapter


class Inspect(Struct, frozen=True):
    """Look and answer yes or no. `work` names inserted looks ("inspect", "stub out", "new fastener", "settle", "look
    back").

    At a hold point another person answers and signs; `expect` is never shown before the answer.
    """

    where: Where
    ask: str
    expect: Literal["yes", "no"]
    hold_point: bool = False
    work: Literal["inspect", "stub out", "new fastener", "settle", "look back"] | None = None
    position: str | None = None
    candidates: tuple[str, ...] = ()  # positions that can be named as not as expected


class Apply(Struct, frozen=True):
    """Put on sealant or locker; `last_lot` was used before and is offered for choosing."""

    where: Where
    what: str
    lot: bool
    last_lot: str | None
    finish_within: Decimal | None


class Mark(Struct, frozen=True):
    """Mark a fastener and the part it sits on across."""

    where: Where
    paint: str


class Wait(Struct, frozen=True):
    """Let time pass: since (UTC, as in the daybook) and how many seconds; `since` None: not begun yet.

    `offset` is that of the place, such as "+01:00".
    """

    where: Where
    since: str | None
    lasts: Decimal
    as_written: str
    counted_from: str
    offset: str = "+00:00"


class Recheck(Aimed, frozen=True):
    """See whether it moves. `reading` True: type what the tool shows at first movement (or when it holds).
    `last_value` is a reading of this position that stayed under, as its tool showed it; `unmoved_up_to` one up to
    which nothing moved, where the first movement is read."""

    method: str
    still: Decimal | None
    pass_no: int
    at_most: int
    together: tuple[str, ...]
    least_pull: Decimal
    last_value: str | None = None
    finished_before: bool = False
    unmoved_up_to: str | None = None


class BackOff(Struct, frozen=True):
    """Mark a fastener and back it off by so many degrees, before it is tightened again in a recheck."""

    where: Where
    by: Decimal
    left_hand: bool
    pass_no: int
    finished_before: bool = False


class BackAtMark(Struct, frozen=True):
    """The question whether a fastener that was backed off and tightened again is back at its mark."""

    where: Where
    pass_no: int


class Confirm(Struct, frozen=True):
    """One deliberate key for several pulls (`pull` is the first of them), or cautions that stand before a stage."""

    where: Where
    positions: tuple[str, ...] = ()
    pull: Tighten | None = None
    cautions: tuple[str, ...] = ()
    item: str | None = None


class StepState(Struct, frozen=True):
    """After a break: what is found at the step at hand; of a `turn` it matters whether its mark is still there."""

    where: Where
    turn: bool = False


class DecideChoice(Struct, frozen=True):
    """A way to go on. `needs` names the parts asked next, in order: "scope", "back to", "reason", "person".

    Three choices are answers of their own: "correct" (`needs` value and known) is a Correct about the same line,
    "hold" a Hold, "abandon" a GiveUp; all others are a Resolve.
    """

    choice: str
    text: str
    needs: tuple[str, ...] = ()
    scopes: tuple[Scope, ...] = ()
    back_to: tuple[tuple[int, str], ...] = ()
    costs: str = ""  # what work it makes at least

    @property
    def value(self) -> str:
        """The word that scripts rely on: what the daybook calls it, in snake case."""
        return "start_over" if self.choice == "from the beginning" else self.choice.replace(" ", "_")

    @property
    def scope(self) -> Scope | None:
        """The scope that nobody is asked for, as there is no other one and it adds nothing."""
        return self.scopes[0] if len(self.scopes) == 1 and self.scopes != ("joint",) else None


class Decide(Struct, frozen=True):
    """Something is not to the procedure: `cause`, the line it is about, and what can be done."""

    where: Where
    cause: Why
    about: int
    position: str | None
    found: str | None
    choices: tuple[DecideChoice, ...]
    window: Ends | None = None
    unit: str | None = None
    judged: Judged | None = None  # by what the line was judged, which the window is then that of
    target: Decimal | None = None  # within that window, in its unit
    over: str | None = None  # what the fastener was told to have, over its window: no torque is asked of it
    gate: str | None = None  # what is done where no one bolt is in question
    left_by_you: bool = True  # whoever is at the work laid hands on the bolt last
    adjusted: tuple[int, int] | None = None  # how often so far, and how often it may be, where the procedure adjusts
    unchecked: str | None = None  # a limit at a slot, where no tool showed a torque to hold against it


class DrawSample(Struct, frozen=True):
    """An inspector draws a sample: `size` of so many positions; `then`: how many more where one fails."""

    where: Where
    size: int
    of: int
    then: AfterFailure
    last: Person | None = None  # who inspected last in this run, and is still another person than those at the work


class ReturnTool(Struct, frozen=True):
    """Put the tool back; `wind_down` asks whether it was wound down, and to where."""

    tool: Tool
    wind_down: bool


class SignOff(Struct, frozen=True):
    """A role signs by typed name. `not_by` are ids of those who are not independent of the work, `did` of those who did
    it; `assembler` is True where one of these is wanted. `left`: one of them has signed, and these pulled too."""

    role: str
    required: bool
    another_person: bool
    not_by: tuple[str, ...]
    meaning: str
    did: tuple[str, ...] = ()
    assembler: bool = False
    left: tuple[Person, ...] = ()
    on_form: bool = False  # the name that stands on a filled paper form


class PaperTime(Struct, frozen=True):
    """The time that stands on a paper form at the beginning of a round, or at its end (`until`). `last` is the one
    before (UTC, as in the daybook), `offset` that of the place."""

    where: Where
    last: str
    offset: str = "+00:00"
    until: bool = False


class Finished(Struct, frozen=True):
    """All is done but closing. `outcome` is what the daybook supports; "not accepted" can always be chosen."""

    outcome: Literal["done", "accepted", "trial", "not accepted"]
    deviations: int
    on_form: bool = False  # the whole form is typed in


class Ended(Struct, frozen=True):
    """Nothing more is asked: the run was closed, abandoned, or is held for another day."""

    outcome: str
    reason: str | None = None
    in_hand: tuple[Tool, ...] = ()


# Nothing is held against a fastener: somebody says that it is so.
Attested = Inspect | Apply | Mark | Wait
# What a kind of work asks.
OfTheWork = Attested | Align | BackAtMark | BackOff | Confirm | Loosen | Measure | Recheck | Tighten | Turn
# What no stage asks: without a tool, and about one.
ToolAside = Decide | DrawSample | Ended | Finished | PaperTime | ReturnTool | SignOff | StartSheet | StepState
OfNoStage = ToolAside | SetTool | TakeTool | ZeroTool
Prompt = OfTheWork | OfNoStage
