"""The events of a run: one frozen value for each kind of line in the daybook.

Events are facts in the past tense. Quantities are decimal strings as typed; `at_fastener` and `window` are in the
sheet's unit. `seq` and `prev` belong to the line and are filled in when it is written.
"""

from __future__ import annotations

from functools import cache
from typing import Any, ClassVar, Literal

import msgspec
from msgspec import Struct

from clampbook.ledger.event import LineBase, PauseCause
from clampbook.ledger.event import fields as event_fields
from clampbook.people import Person
from clampbook.run.use import Meter
from clampbook.tools.against import One as Against
from clampbook.tools.model import Adapter, LastCheck, Tool, Trouble, TroubleKind

Verdict = Literal["under", "within", "over"]
What = Literal[  # was corrected
    "reading", "prevailing torque", "turn", "final torque", "stretch", "measure", "recheck", "bad pull", "item"
]
Late = Literal["before_break"]  # it was done before a break, and entered after it
Mark = Literal["back", "short", "past"]  # how a fastener that was backed off came back to its mark
ScanKind = Literal["PDF", "PNG", "JPEG"]
# How a corrected value is known: the last one of a value that was typed wrong from a paper form.
Known = Literal[
    "the tool still shows it",
    "from a second look",
    "a second person saw it",
    "from memory",
    "it stands on the form",
]
Blank = Literal[  # what a form leaves blank
    "step", "further reading", "prevailing torque", "final torque", "stretch", "mark", "setting", "item", "work"
]
Ends = tuple[str | None, str | None]  # a window as decimal strings, an open end is None


class EventBase(LineBase, frozen=True, kw_only=True, tag_field="event"):
    """The fields that every line of a run adds: who did it where another hand did, what was noticed.

    `typed_at` (UTC) is when the line was typed where `at` is the time that stands on a paper form.
    """

    done_by: str | None = None
    late: Late | None = None
    typed_at: str | None = None
    noted: tuple[str, ...] = ()

    handles: ClassVar[bool] = False  # True where hands were laid on the joint: a pull, loosening, applying, fitting


LeftAt = Literal["unknown", "over", "under"]


class Earlier(Struct, frozen=True, kw_only=True, omit_defaults=True):
    """The run that this one follows up, with attempts and tightenings of its positions as it left them; where its
    daybook was `damaged` these are the least that there were.

    `loosened` has the positions that it left otherwise than tightened: by how many degrees, None where fully. `meters`
    is what counted use showed then, and `or_use` after how much of it this work was due, where that was written down.
    `called_then` is what that run calls the follow-up, where a newer revision calls it otherwise. `left_open` has the
    positions that its paper form left open: nothing stands there, or outside its window and nothing was decided.
    """

    run: str
    follow_up: str
    positions: dict[str, tuple[int, int]]
    damaged: bool = False
    loosened: dict[str, str | None] = {}
    meters: tuple[Meter, ...] = ()
    or_use: str | None = None
    called_then: str | None = None
    left_open: dict[LeftAt, tuple[str, ...]] = {}

    @property
    def named(self) -> tuple[str, str]:
        """The run with the title that it gave to the follow-up: what is due is listed by it."""
        return self.run, self.called_then or self.follow_up


class Opened(EventBase, frozen=True, kw_only=True, tag="opened"):
    """The first line: what was frozen, for whom, in which book, and the hash of the book's log at that moment.
    `done_by_person` is whoever pulls from here on, where that is not the one who types."""

    daybook: int
    run: str
    book: str
    log_head: str
    procedure_sha256: str
    plan_sha256: str
    person: Person
    version: str
    clock: Literal["system", "handed in"]
    equipment: str | None = None  # the thing worked on, where it was named at the start
    series: str | None = None
    of_run: Earlier | None = None
    done_by_person: Person | None = None
    alongside: tuple[str, ...] = ()  # runs of the same procedure, and it may be of the same thing, that were open
    despite: str | None = None  # why it was begun though the procedure was withdrawn
    form: str | None = None  # the code at the foot of the paper form, as it was typed or agreed to
    also_done_by: tuple[Person, ...] | None = None  # the others who stand at “Done by” on that form
    rules: int | None = None  # what the walk asks and its record tells (`ledger.formats.RULES`); None is 1


class Asked(EventBase, frozen=True, kw_only=True, tag="asked"):
    """An answer of the start sheet or of the end; left out on purpose: `typed` is None. `before` is what a meter showed
    at the run that is followed up, in the same unit."""

    item: str
    typed: str | None
    value: str | None = None
    unit: str | None = None
    before: str | None = None


class CautionsRead(EventBase, frozen=True, kw_only=True, tag="cautions_read"):
    """Cautions were read: of the whole procedure (stage None) or before a stage."""

    item: str
    cautions: tuple[str, ...]
    stage: int | None = None


class Prepared(EventBase, frozen=True, kw_only=True, tag="prepared"):
    """The work that a group asks to be prepared is done."""

    item: str
    group: str
    prepared: tuple[str, ...]


class PartRecorded(EventBase, frozen=True, kw_only=True, tag="part_recorded"):
    """A consumable's lot or serial number, or a count (at the end: how many are left over).

    `needed` stands where fewer are at hand than the work needs, which is decided about; no line of old has it.
    """

    item: str
    part: str
    typed: str
    value: str | None = None
    needed: int | None = None


class ToolTaken(EventBase, frozen=True, kw_only=True, tag="tool_taken"):
    """A tool was taken up; the whole tool is kept, with its adapter, its last check and the pulls since its
    calibration. `reason` says why where it does not suit."""

    tool: Tool
    need: Literal["torque", "reading", "angle", "measure"] = "torque"
    step: str | None = None
    against: tuple[Against, ...] = ()  # for which the reason stands
    reason: str | None = None
    adapter: Adapter | None = None
    demanded: str | None = None  # the adapter that the procedure asks for, in its words
    measured: bool | None = None  # True where length or angle of the adapter were typed here
    last_check: LastCheck | None = None
    pulls: int | None = None
    troubles: tuple[Trouble, ...] = ()  # what was known then, and no check has looked at since
    # Where another serial number stands in its entry than the id was known by: that one, and whether a person says that
    # it is the same tool. `another`: it is not the one that this run had by this id before.
    serial_was: str | None = None
    same: bool | None = None
    another: bool | None = None
    adapter_blank: Literal[True] | None = None  # a paper form does not say what was on it


class ToolSet(EventBase, frozen=True, kw_only=True, tag="tool_set"):
    """The reading of the tool's scale after setting it."""

    tool: str
    step: str
    typed: str
    value: str
    unit: str
    at_fastener: str


class ToolZeroed(EventBase, frozen=True, kw_only=True, tag="tool_zeroed"):
    """Zero as it was found, before any correction; or a paper form says nothing of it."""

    tool: str
    state: Literal["good", "wrong", "unknown", "not written"]
    after: Literal[True] | None = None  # it stands on a paper form as that after the work


class ToolDropped(EventBase, frozen=True, kw_only=True, tag="tool_dropped"):
    """A tool fell. Without a reason to go on it is out until it has been checked."""

    tool: str
    going_on: str | None = None


class ToolSuspected(EventBase, frozen=True, kw_only=True, tag="tool_suspected"):
    """Readings since `since` (a line number) carry a question mark.

    `check` names the check that found the tool off, at `found` (UTC) and by `off` percent; `trouble` is what happened
    to it in another run; without either a person suspects it here, and says `why`. `withdrawn` is False where it has
    passed a check since.
    """

    tool: str
    since: int
    why: str | None = None
    check: str | None = None
    found: str | None = None
    off: str | None = None
    withdrawn: bool = False
    trouble: Trouble | None = None

    @property
    def here(self) -> bool:
        """True where a person said so in this very run."""
        return self.check is None and self.trouble is None

    @property
    def kind(self) -> TroubleKind | Literal["failed"]:
        """Name the kind of what became known of the tool."""
        if self.check is not None:
            return "failed"
        return self.trouble.kind if self.trouble is not None else "suspect"


class ToolPassed(EventBase, frozen=True, kw_only=True, tag="tool_passed"):
    """A tool that was in question passed a check, at `passed` (UTC): what is pulled from here on is in question no
    more."""

    tool: str
    passed: str
    last_check: LastCheck | None = None


class ProcedureWithdrawn(EventBase, frozen=True, kw_only=True, tag="procedure_withdrawn"):
    """While the run was open its procedure was withdrawn: by whom, when (UTC), and why."""

    revision: str
    person: Person
    withdrawn: str
    because: str


class ToolReturned(EventBase, frozen=True, kw_only=True, tag="tool_returned"):
    """A tool was put back; `wound_down` is None where it needs no winding down."""

    tool: str
    wound_down: bool | None = None


class Applied(EventBase, frozen=True, kw_only=True, tag="applied"):
    """Sealant or locker was put on; starts the time limit of its group."""

    handles: ClassVar[bool] = True

    step: str
    what: str
    attempt: int = 1
    lot: str | None = None


class Marked(EventBase, frozen=True, kw_only=True, tag="marked"):
    """A mark was put across a fastener and its part, with `paint`."""

    handles: ClassVar[bool] = True

    step: str
    paint: str
    attempt: int = 1


class PrevailingRead(EventBase, frozen=True, kw_only=True, tag="prevailing_read"):
    """Prevailing torque of a locking nut while it runs down; under means less than the least allowed."""

    handles: ClassVar[bool] = True

    step: str
    attempt: int
    tool: str
    typed: str
    value: str
    unit: str
    at_fastener: str
    window: Ends
    verdict: Verdict
    adapter: str | None = None  # id of what stood between tool and fastener
    unusual: str | None = None


class ReadingTaken(EventBase, frozen=True, kw_only=True, tag="reading_taken"):
    """A pull with an indicating tool."""

    handles: ClassVar[bool] = True

    step: str
    attempt: int
    tool: str
    typed: str
    value: str
    unit: str
    at_fastener: str
    window: Ends
    verdict: Verdict
    unusual: str | None = None
    adapter: str | None = None  # id of what stood between tool and fastener


class Clicked(EventBase, frozen=True, kw_only=True, tag="clicked"):
    """A pull with a setting tool: it let go once. No number exists; `set_to` is what the tool was set to, and `verdict`
    is there where that lies outside its window: before a break it may have been set to something else."""

    handles: ClassVar[bool] = True

    step: str
    attempt: int
    tool: str
    set_to: str
    unit: str
    at_fastener: str
    window: Ends
    verdict: Verdict | None = None
    adapter: str | None = None  # id of what stood between tool and fastener


class Confirmed(EventBase, frozen=True, kw_only=True, tag="confirmed"):
    """Several clicks confirmed in one answer, from step `first` to step `last`: of these positions, in this order."""

    handles: ClassVar[bool] = True

    first: str
    last: str
    tool: str
    set_to: str
    unit: str
    at_fastener: str
    window: Ends
    positions: tuple[str, ...] = ()
    adapter: str | None = None  # id of what stood between tool and fastener


class Turned(EventBase, frozen=True, kw_only=True, tag="turned"):
    """One stroke of a turn, in degrees; `sum` with the strokes before it. A turn by the mark has no number."""

    handles: ClassVar[bool] = True

    step: str
    attempt: int
    tool: str
    typed: str | None
    value: str | None
    sum: str | None
    window: Ends
    verdict: Verdict
    unusual: str | None = None


class Aligned(EventBase, frozen=True, kw_only=True, tag="aligned"):
    """A castle nut was turned on to its next slot, was there already, or does not align; `reads` is True where a tool
    showed its torque, which at its slot is read next. `at_most` was its limit, in the sheet's unit."""

    handles: ClassVar[bool] = True

    step: str
    attempt: int
    slot: Literal["already", "turned", "not"]
    reads: bool = False
    at_most: str | None = None


class Loosened(EventBase, frozen=True, kw_only=True, tag="loosened"):
    """A position was loosened: a step of the plan, or work before starting over (`work`);
    `let_down`: from its tensioner."""

    handles: ClassVar[bool] = True

    step: str
    position: str
    attempt: int
    work: bool = False
    let_down: bool | None = None


class Measured(EventBase, frozen=True, kw_only=True, tag="measured"):
    """A measured value; `result` is what is judged (after `minus`). `part` names a value asked beside a pull.

    With the last of points that are judged by their `spread` also `verdict` is that of all of them: over where they
    lie too far apart, though the value is within its window (`fold/measured` tells the two apart).
    """

    step: str
    attempt: int
    typed: str
    value: str
    unit: str
    result: str
    window: Ends | None
    verdict: Verdict
    part: Literal["final torque", "stretch"] | None = None
    tool: str | None = None
    spread: str | None = None
    unusual: str | None = None
    adapter: str | None = None  # id of what stood between tool and fastener
    outside: int | None = None  # with the last of points of which some may be: how many lie outside the window


class Inspected(EventBase, frozen=True, kw_only=True, tag="inspected"):
    """A look and its answer. At a hold point `inspector` looked and signed in the same act, with `meaning`; `key` is
    the fingerprint of a key, None a typed name."""

    step: str
    answer: Literal["yes", "no"]
    as_expected: bool
    positions: tuple[str, ...] = ()  # those that are not as expected
    work: Literal["inspect", "stub out", "new fastener", "settle"] | None = None
    position: str | None = None
    inspector: Person | None = None
    meaning: str | None = None
    reason: str | None = None
    key: str | None = None


class LookedBack(EventBase, frozen=True, kw_only=True, tag="looked_back"):
    """A completed position was looked at after a break."""

    position: str
    as_left: bool


class Rechecked(EventBase, frozen=True, kw_only=True, tag="rechecked"):
    """A recheck of one position in one pass; it never replaces the tightening's reading.

    Of a setting tool there is no reading: `set_to` is its setting, with its unit, and `at_fastener` what that gives.
    `moved` None: it was pulled, and is under; whether it moved is asked when it is where it should be. `mark` is how
    a fastener that was backed off came back to its mark; its pull stands in a line of its own.
    """

    handles: ClassVar[bool] = True

    step: str
    attempt: int
    pass_no: int = msgspec.field(name="pass")
    moved: bool | None
    method: str
    tool: str | None = None
    typed: str | None = None
    value: str | None = None
    unit: str | None = None
    at_fastener: str | None = None
    window: Ends | None = None
    verdict: Verdict | None = None
    set_to: str | None = None
    adapter: str | None = None  # id of what stood between tool and fastener
    unusual: str | None = None
    mark: Mark | None = None


class BackedOff(EventBase, frozen=True, kw_only=True, tag="backed_off"):
    """A fastener was marked and backed off by so many degrees, before it is tightened again in a recheck."""

    handles: ClassVar[bool] = True

    step: str
    attempt: int
    pass_no: int = msgspec.field(name="pass")
    by_degrees: str


class WaitBegun(EventBase, frozen=True, kw_only=True, tag="wait_begun"):
    """A wait that counts from its own beginning was begun; `blank`: no beginning stands on the paper form, so it counts
    from what the procedure says."""

    step: str
    blank: Literal[True] | None = None


class Waited(EventBase, frozen=True, kw_only=True, tag="waited"):
    """A wait came to its end."""

    step: str
    since: str
    lasts: str


class Voided(EventBase, frozen=True, kw_only=True, tag="voided"):
    """A pull that does not count. `of` is the line it names; None: its pull was never stored, and what its tool told
    stands here: a reading or an angle (`value`), or, where it clicked, the setting (`set_to`), with the window of the
    step that it was told for. `clicked` None: not a setting tool, or nobody is sure."""

    step: str
    attempt: int
    of: int | None
    cause: str
    value: str | None = None
    sum: str | None = None  # degrees in all, with the strokes before it
    typed: str | None = None
    unit: str | None = None
    tool: str | None = None
    set_to: str | None = None
    clicked: bool | None = None
    at_fastener: str | None = None
    window: Ends | None = None
    verdict: Verdict | None = None
    adapter: str | None = None  # id of what stood between tool and fastener


class Corrected(EventBase, frozen=True, kw_only=True, tag="corrected"):
    """A mistyped value put right. The first one stays in the daybook at line `of`.

    `counts` False: one person remembers it otherwise, and what was told over stays over.
    """

    of: int
    step: str | None
    attempt: int
    typed: str
    value: str
    unit: str | None
    at_fastener: str | None
    window: Ends | None
    verdict: Verdict | None
    what: What
    known: Known
    sum: str | None = None
    result: str | None = None
    item: str | None = None
    counts: bool = True
    person: Person | None = None  # the second one, who saw it
    outside: int | None = None  # as with a measured value
    needed: int | None = None  # as with a part that was counted
    spread: str | None = None  # as with a measured value; no line of old has it


class Skipped(EventBase, frozen=True, kw_only=True, tag="skipped"):
    """A position is left for later in its round, with a reason."""

    step: str
    position: str
    reason: str


class Broken(EventBase, frozen=True, kw_only=True, tag="broken"):
    """A fastener broke, stripped, or does not reach its torque; with the torque or angle reached, where known."""

    handles: ClassVar[bool] = True

    step: str
    position: str
    attempt: int
    how: Literal["broken", "stripped", "never reaches the torque", "wrong or missing part"]
    reached: str | None = None  # with its unit
    value: str | None = None
    unit: str | None = None
    tool: str | None = None
    at_fastener: str | None = None


class ArrivedUnasked(EventBase, frozen=True, kw_only=True, tag="arrived_unasked"):
    """A line that a tool typed where no reading was asked for, and the position it belongs to, if any."""

    text: str
    step: str | None = None
    belongs_to: str | None = None


class Decided(EventBase, frozen=True, kw_only=True, tag="decided"):
    """The decision about line `about`, or about its step alone (0). A concession needs `person` (another one)
    and `reason`.
    """

    about: int
    cause: str
    choice: str
    step: str | None = None
    position: str | None = None
    scope: str | None = None
    reason: str | None = None
    person: Person | None = None
    meaning: str | None = None
    key: str | None = None
    back_to: int | None = None
    time: int | None = None  # of adjusting: which one this is


class Noted(EventBase, frozen=True, kw_only=True, tag="noted"):
    """A note, at the step at hand or about an older line; or a row of a paper form, with the time (UTC) that `stands`
    beside it, its position, and whose initials are there."""

    text: str
    step: str | None = None
    about: int | None = None
    stands: str | None = None
    position: str | None = None
    initials: Person | None = None


class Paused(EventBase, frozen=True, kw_only=True, tag="paused"):
    """The work stops for a while."""

    cause: PauseCause


class Resumed(EventBase, frozen=True, kw_only=True, tag="resumed"):
    """The program was started again. `gap` in seconds since the line before, None where the clock is implausible.
    `looked` are those who go on now and vouched before as another person."""

    gap: str | None
    clock: Literal["plausible", "implausible"]
    torn_bytes: int = 0
    person: Person | None = None
    done_by_person: Person | None = None
    looked: tuple[Person, ...] = ()


class PaperTime(EventBase, frozen=True, kw_only=True, tag="paper_time"):
    """A time that stands on the paper form: that of all lines from here on. `step` is the first one of a round, and the
    last one where the time is that of its end (`until`); `done_by_person` is whoever did it from here on, None where
    that is nobody else than before."""

    step: str | None = None
    done_by_person: Person | None = None
    until: Literal[True] | None = None
    stands: str | None = None  # the earlier time (UTC) beside `step`, where `at` is that of a row before it
    blank: Literal[True] | None = None  # no time stands there, and `at` is the last one that stood


class LeftBlank(EventBase, frozen=True, kw_only=True, tag="left_blank"):
    """Nothing stands on the paper form where it has a place: at a step, or for an item of the checklist or a role.

    `ticked`: there is a ring or a tick, and no number that it could be held against. `what` is left out of the work of
    the step itself; a further reading is one beside a reading that was under.
    """

    step: str | None = None
    position: str | None = None
    attempt: int = 1
    what: Blank = "step"
    item: str | None = None
    tool: str | None = None
    ticked: bool = False


class TakenBack(EventBase, frozen=True, kw_only=True, tag="taken_back"):
    """Line `of` was typed wrong from a paper form: nothing of it was done, and what it answered is asked again."""

    of: int


class ScanAdded(EventBase, frozen=True, kw_only=True, tag="scan_added"):
    """A scan of the paper form was put into the run's folder: its name there, its kind by its first bytes, its size in
    bytes and its SHA-256. Nobody reads it."""

    name: str
    kind: ScanKind
    size: int
    sha256: str


class SampleDrawn(EventBase, frozen=True, kw_only=True, tag="sample_drawn"):
    """An inspector drew a sample of the positions of a stage with a number.

    `sample` is what is looked at, `if_one_fails` the order in which more are added; both come of the number and of
    `prev`, the hash of the line before. `independent`: the inspector is another person than those who worked so far.
    """

    stage: int
    person: Person
    independent: bool
    number: str
    sample: tuple[str, ...]
    if_one_fails: tuple[str, ...] = ()
    reason: str | None = None


class StepState(EventBase, frozen=True, kw_only=True, tag="step_state"):
    """The state of the step at hand as found after a break; of a turn that was begun with no stroke since,
    its degrees from its mark. A turn that went on is told by a `turned` of its own; without degrees nobody
    knows how far it is.
    """

    step: str
    state: Literal[
        "not started", "started, mark still there", "started, not finished", "mark lost", "finished, not entered"
    ]
    degrees: str | None = None


class MapTurned(EventBase, frozen=True, kw_only=True, tag="map_turned"):
    """The picture was turned to match where the person stands: quarter turns clockwise, and seen from below or not."""

    quarters: int
    from_below: bool = False


class HandedOver(EventBase, frozen=True, kw_only=True, tag="handed_over"):
    """Another person goes on. `looked` are those of them who vouched before as another person."""

    to: Person
    done_by_person: Person | None = None
    looked: tuple[Person, ...] = ()


class Held(EventBase, frozen=True, kw_only=True, tag="held"):
    """The run stands unfinished, with a reason and a name; the question it stands at is asked again."""

    reason: str
    cause: Literal["decision", "awaiting inspection", "other"]
    about: int | None = None


class SignedOff(EventBase, frozen=True, kw_only=True, tag="signed_off"):
    """A role was signed for; `key` is the fingerprint of a key, None a typed name. `undated`: no time stands beside it
    on a paper form, and `at` is the last one that stood."""

    role: str
    meaning: str
    person: Person
    key: str | None = None
    reason: str | None = None
    undated: Literal[True] | None = None


class Closed(EventBase, frozen=True, kw_only=True, tag="closed"):
    """The last line of a run that was brought to an end."""

    outcome: Literal["done", "accepted", "not accepted", "trial", "damaged"]
    reason: str | None = None


class Abandoned(EventBase, frozen=True, kw_only=True, tag="abandoned"):
    """The last line of a run that was given up."""

    reason: str


# No number comes of it: somebody says that it is so.
Attested = Aligned | Marked | Applied | Inspected | LookedBack | WaitBegun | Waited
# What a kind of work leaves.
OfTheWork = (
    Attested
    | BackedOff
    | Confirmed
    | Loosened
    | Measured
    | PrevailingRead
    | Clicked
    | ReadingTaken
    | Rechecked
    | Turned
)
# Only its own module has anything to say of such a line: nobody is named in it, and nothing departs.
ToldAlone = (
    Abandoned
    | ArrivedUnasked
    | CautionsRead
    | Closed
    | MapTurned
    | Noted
    | Prepared
    | ScanAdded
    | TakenBack
    | ToolPassed
    | ToolReturned
    | ToolSet
)
Event = (
    OfTheWork
    | ToldAlone
    | Opened
    | Asked
    | PartRecorded
    | ToolTaken
    | ToolZeroed
    | ToolDropped
    | ToolSuspected
    | ProcedureWithdrawn
    | Voided
    | Corrected
    | Skipped
    | Broken
    | Decided
    | Paused
    | Resumed
    | SampleDrawn
    | StepState
    | HandedOver
    | Held
    | LeftBlank
    | PaperTime
    | SignedOff
)


@cache
def _decoder() -> msgspec.json.Decoder[Event]:
    """Made at the first line: it looks at every kind, which whoever only writes or names one need not wait for."""
    return msgspec.json.Decoder(Event)


def read(line: bytes) -> Event:
    """One daybook line as an event; raises msgspec.ValidationError or DecodeError where it is none."""
    return _decoder().decode(line)


_OF_A_FORM: dict[type[EventBase], tuple[str, ...]] = {
    Noted: ("stands", "position", "initials"),
    Opened: ("form", "also_done_by"),
    PaperTime: ("until", "stands", "blank"),
    SignedOff: ("undated",),
    WaitBegun: ("blank",),
    ToolZeroed: ("after",),
}


def fields(event: Event) -> dict[str, Any]:
    """The event as plain fields for the ledger, which adds `seq` and `prev`; and leaves out those
    that were added later where they are None."""
    taken = ("serial_was", "same", "another", "demanded", "measured", "adapter_blank")
    asked = taken if isinstance(event, ToolTaken) else ()
    counted = ("needed",) if isinstance(event, PartRecorded | Corrected) else ()
    measured = ("spread",) if isinstance(event, Corrected) else ()
    adjusted = ("time",) if isinstance(event, Decided) else ()
    loosened = ("let_down",) if isinstance(event, Loosened) else ()
    metered = ("before",) if isinstance(event, Asked) else ()
    of_a_form = _OF_A_FORM.get(type(event), ())
    added = (*asked, *counted, *measured, *adjusted, *loosened, *metered, *of_a_form)
    return event_fields(event, "done_by", "late", "typed_at", *added)


def kind_of(event: Event) -> str:
    """The name of its kind, as its line has it."""
    return str(event.__struct_config__.tag)
