"""The progress of a run: a small frozen value that the fold of all events arrives at.

It keeps what the next prompt needs and no other history; the record folds the events itself.
"""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Literal

from msgspec import Struct
from rpds import HashTrieMap, List

from clampbook.people import Person
from clampbook.procedure.model import Scope
from clampbook.run.events import LeftAt
from clampbook.run.fold.fastener import Fastener
from clampbook.run.fold.independence import Shares
from clampbook.run.fold.sampling import Drawn
from clampbook.run.fold.verdict import Judged
from clampbook.run.plan import Step
from clampbook.run.use import Meter
from clampbook.tools.lever import STRAIGHT, Reach, reach
from clampbook.tools.model import Adapter, Tool, Trouble, TroubleKind
from clampbook.units import Quantity

Outcome = Literal[
    "within",
    "under",
    "over",
    "clicked",
    "confirmed",
    "moved",
    "loosened",
    "applied",
    "concession",
    "broken",
    "void",
    "unknown",
    "skipped",
    "to do again",
]
Need = Literal["torque", "reading", "angle", "measure"]
WorkKind = Literal["loosen", "let down", "inspect", "stub out", "new fastener", "settle", "look back"]


NO_ONE_POSITION = "-"  # where work is inserted for no single position


class Work(Struct, frozen=True, gc=False):
    """Inserted work that is no plan step, at one position (NO_ONE_POSITION: for all of it)."""

    work: WorkKind
    position: str


LOOKING_BACK = "looking back"  # why a frame was laid on after a break


class Frame(Struct, frozen=True, kw_only=True):
    """Work to be done before what lies below goes on: `prologue`, then the plan steps of `positions` (None: all)
    from `first` to `last`, both counted from 0. `interrupts` is the plan step that was at hand when it was laid on.

    Gates before `gates_from` are each a question (do again, or leave); from there on they are simply done.
    """

    reason: str
    positions: frozenset[str] | None
    first: int
    last: int
    next: int
    interrupts: int
    gates_from: int
    prologue: tuple[Work, ...] = ()
    done: int = 0
    total: int = 0
    cleared: int = -1  # the last of the gates that were decided to be done again


Why = Literal[
    "over",
    "bad pull",
    "mark lost",
    "not as I left it",
    "broken",
    "stripped",
    "never reaches the torque",
    "wrong or missing part",
    "not snug",
    "limit run out",
    "budget used up",
    "skipped",
    "outside",
    "points too far apart",
    "too many points outside",
    "not as expected",
    "still moving",
    "moved",
    "loose",
    "found under",
    "third under",
    "prevailing torque too low",
    "prevailing torque too high",
    "final torque outside",
    "stretch beyond its window",
    "not aligned",
    "count differs",
    "too few",
    "not new",
    "again at a gate",
    "measured before",
    "pulled out of turn",
    "pulled again",
    "zero wrong",
    "zero unknown",
]
"""The reason why a decision is asked for."""


class Question(Struct, frozen=True, kw_only=True):
    """Something to be decided: about line `about` (0: none), at plan step `step`, at a position or at several.

    `judged` is by what that line was judged.
    """

    cause: Why
    about: int
    step: int
    positions: tuple[str, ...] = ()
    found: str | None = None
    judged: Judged | None = None


class InHand(Struct, frozen=True, kw_only=True):
    """A tool in hand: what it is set to, and whether its zero is good."""

    tool: Tool
    taken: int  # line number
    set_to: str | None = None
    set_blank: bool = False  # no setting stands on the paper form
    set_for: Decimal | None = None  # the target of the pulls that a form has this setting for
    zeroed: bool = False
    zeroed_after: bool = False  # its zero after the work was read off a paper form
    good_since: int = 0  # line of the last good zero, or of taking it up
    adapter: Adapter | None = None
    demanded: str | None = None  # the adapter that the procedure asked for when it was picked up

    @property
    def through(self) -> Reach:
        """The way it reaches the fastener; an adapter that nobody can reckon with was refused when it was taken up."""
        found = reach(self.tool, self.adapter)
        return found if isinstance(found, Reach) else STRAIGHT


WhyInQuestion = TroubleKind | Literal["failed"]


class InQuestion(Struct, frozen=True, kw_only=True):
    """A tool whose pulls are in question, as line `line` tells: from line `since` on, until line `until` finds it good.

    `at` is the time of the daybook at which it came to light. A person may have said `because`; it happened on the day
    `on`, or `check` found it off then, by `off` percent where that is known. `pulled` is True once a pull carries the
    question; that stays, whatever is found of the tool later.
    """

    tool: str
    why: WhyInQuestion
    line: int
    since: int
    at: str
    because: str | None = None
    on: str | None = None
    check: str | None = None
    off: str | None = None
    pulled: bool = False
    until: int | None = None
    here: bool = True  # False where it was heard of another run

    def holds(self, line: int) -> bool:
        """True where what was pulled with the tool at a line is in question."""
        return self.since <= line and (self.until is None or line < self.until)


class Kept(Struct, frozen=True):
    """A measured value under its name, what measured it, where that is known, and the line that has it now."""

    name: str
    value: Decimal
    by: Tool | None = None
    line: int = 0


class Standing(Struct, frozen=True, kw_only=True):
    """The state of one position. `through` is the last plan step finished (from 0, -1 none) of this attempt."""

    attempt: int = 1
    began_with: int = 1  # the attempt that this run began with; a follow-up goes on counting
    through: int = -1
    latest: int = 0  # line that can still be corrected or voided
    latest_step: int = -1
    latest_what: str | None = None  # what that line holds that can be corrected or voided
    outcome: Outcome | None = None
    tightenings: int = 0
    fastener: Fastener = Fastener()
    awaiting: Literal["final torque", "stretch", "tighten again", "mark", "tool that reads", "lock"] | None = None
    applied: str | None = None
    limit_waived: bool = False
    budget_waived: bool = False
    blank: tuple[int, int] | None = None  # attempt and step at which a form has no prevailing torque
    measured: tuple[Kept, ...] = ()
    stretched: tuple[int, Decimal] | None = None  # the attempt, and the stretch that was measured last in it
    last_value: str | None = None  # of the latest pull; None where it told no number
    last_click: str | None = None  # what is known of that pull instead: its setting, and whether it clicked
    shown_in: str | None = None  # unit of the tool that showed the latest value
    instrument: Tool | None = None  # what showed the latest value, where that is known
    reach: Reach = STRAIGHT  # how that tool reached the fastener
    judged_by: tuple[str | None, str | None] | None = None  # the window of the latest reading
    conceded_at: int | None = None  # the first step of this attempt where something was accepted by concession
    left_by: str | None = None  # who laid hands on it last
    unmoved: bool = False  # the latest pull was to read a first movement, and nothing moved
    unders: int = 0  # readings one after the other that stayed under, at the step of the latest line


class SkippedAt(Struct, frozen=True, kw_only=True):
    """A position that was skipped at a step."""

    step: int
    section: int
    about: int
    reason: str


class Pass(Struct, frozen=True, kw_only=True):
    """A pass of a recheck: its number, how many moved, and whether it is over."""

    number: int = 1
    moved: int = 0
    over: bool = False
    allowed: int = 0  # passes granted beyond the sheet's


class Gate(Struct, frozen=True, kw_only=True):
    """The latest value of a gate, kept for correcting and for `minus` and `spread`."""

    latest: int
    value: Decimal | None
    instrument: Tool | None = None  # what measured it, where that is known


class Progress(Struct, frozen=True, kw_only=True):
    """The state of a run after a number of lines."""

    seq: int = 0
    at: str = ""
    offset: str = "+00:00"  # of the place where the last line was written
    run: str = ""
    by: str = ""
    hands: str | None = None
    done_by: tuple[str, ...] = ()  # all who stand at “Done by” on the paper form that is typed in
    frames: tuple[Frame, ...] = ()
    questions: tuple[Question, ...] = ()
    positions: HashTrieMap[str, Standing] = HashTrieMap()
    gates: HashTrieMap[str, Gate] = HashTrieMap()
    items: HashTrieMap[str, int] = HashTrieMap()  # of the sheet, cautions before stages, signed roles: line number
    skipped: HashTrieMap[str, SkippedAt] = HashTrieMap()
    passes: HashTrieMap[int, Pass] = HashTrieMap()
    samples: HashTrieMap[int, Drawn] = HashTrieMap()  # by the number of their stage
    hand: HashTrieMap[str, InHand] = HashTrieMap()
    using: HashTrieMap[str, str] = HashTrieMap()
    serials: HashTrieMap[str, str] = HashTrieMap()  # of the tools that were taken up, by id, where they have one
    lengths: HashTrieMap[str, Quantity] = HashTrieMap()  # of adapters, by id, that were measured at the bench
    scales: frozenset[str] = frozenset()  # tools whose unit was read off their scale in this run
    used: HashTrieMap[str, int] = HashTrieMap()  # the line of the latest pull with each tool
    troubles: HashTrieMap[str, tuple[Trouble, ...]] = HashTrieMap()  # of tools, as far as this run has heard
    failed: HashTrieMap[str, str] = HashTrieMap()  # tools that a check found off, with the check
    in_question: tuple[InQuestion, ...] = ()
    ended_at: HashTrieMap[int, str] = HashTrieMap()  # stage number: time of its last line
    lots: HashTrieMap[int, str] = HashTrieMap()
    adjusted: HashTrieMap[str, int] = HashTrieMap()  # how often, by what was measured
    begun: HashTrieMap[str, str] = HashTrieMap()  # waits that count from a beginning of their own
    recent: tuple[str, ...] = ()  # up to three positions completed last
    shares: Shares = Shares()  # who did what
    inspector: Person | None = None  # who looked at a hold point, or drew a sample, last
    last_pull: str | None = None
    last_reading: tuple[str, str] | None = None  # tool and value of the reading before, for equal ones
    last_answer: int = 0  # line of the last one that can be corrected
    last_void: int = 0  # line of the last bad pull
    last_answer_step: str | None = None
    last_answer_item: str | None = None
    last_entered: str | None = None  # what was typed for it, with its unit; None for a click and the like
    ask_state: bool = False
    state_of: int = -1  # place of the plan step of which it is asked, once that is at hand
    found: str | None = None
    withdrawn: bool = False  # the procedure, since the run was begun
    conceded: frozenset[str] = frozenset()  # steps of no one position, accepted so until they are passed again
    deviations: int = 0
    not_accepted: bool = False
    quarters: int = 0
    from_below: bool = False
    stopped: Literal["paused", "held"] | None = None
    stop_reason: str | None = None
    ended: str | None = None
    ended_reason: str | None = None
    equipment: str | None = None  # the thing worked on, as it was named when the run was opened
    counts: HashTrieMap[str, int] = HashTrieMap()  # what was counted, by item
    fitted: HashTrieMap[str, int] = HashTrieMap()  # how many new fasteners were fitted at a position
    locked: HashTrieMap[str, int] = HashTrieMap()  # how many pins, or what else locks it, were fitted at a position
    settled: int = 0  # how often the joint got new consumables
    worked_on: str | None = None  # the same, or what was answered when it was asked for
    follows_up: bool = False
    meters_before: tuple[Meter, ...] = ()  # what counted use showed at the run that is followed up
    due_after: str | None = None  # after how much use since then this work was due
    reasons: HashTrieMap[tuple[str, str], str] = HashTrieMap()  # why a tool is used, by tool and what speaks against it
    left_before: Mapping[LeftAt, tuple[str, ...]] = {}  # the positions that the form of that run left open, and how
    from_paper: bool = False  # as its plan has it: who types is not at the work
    timed: tuple[int, int] | None = None  # the stage and round of which the time on the form was asked
    timed_from: str = ""  # that time
    timed_to: tuple[int, int] | None = None  # the same of which the time of its end was asked

    past: List[Progress] = List()  # of a form: the state before each answer that can be taken back, the last first

    @property
    def at_it(self) -> tuple[str | None, ...]:
        """Those who are at the work now: at the keyboard, and with their hands where that is another person."""
        return () if self.from_paper else (self.by, self.hands)


FINISHED = "finished, not entered"  # what was found at the step at hand after a break
AFTER_SILENCE = "after a silence"  # noted with a line that ends a break that was too long
COUNT_DIFFERS: Literal["count differs"] = "count differs"  # the cause of a decision about parts that do not add up
TOO_FEW: Literal["too few"] = "too few"  # the cause of a decision about parts of which fewer are at hand than needed
NOT_NEW: Literal["not new"] = "not new"  # the cause of a decision about one-use fasteners that are not all new
OF_PARTS: frozenset[Why] = frozenset((COUNT_DIFFERS, TOO_FEW, NOT_NEW))  # causes that belong to no step and no position
# the cause of a decision about the spread of measured points
SPREAD: Literal["points too far apart"] = "points too far apart"
MEASURED_BEFORE: Literal["measured before"] = "measured before"  # the cause of one about all points of a gate met again
# the cause of a decision about points of which more than are allowed lie outside their window
TOO_MANY: Literal["too many points outside"] = "too many points outside"
SCOPES: tuple[Scope, ...] = ("fastener", "neighbours", "group", "joint")


def standing(progress: Progress, position: str) -> Standing:
    """Give the state of a position; one that nothing happened to stands at the beginning."""
    found = progress.positions.get(position)
    return found if found is not None else UNTOUCHED


def line_to_take_back(progress: Progress) -> int | None:
    """The line of the last answer from a paper form; None where there is none since the last break."""
    before = next(iter(progress.past), None)
    return None if before is None else before.seq + 1


def by_concession(progress: Progress) -> bool:
    """True where anything stands as it is because a second person accepted it: a position until it is taken from the
    beginning, more tightenings than allowed until a new fastener is in, a gate until it is passed again."""
    states = progress.positions.values()
    return bool(progress.conceded) or any(each.conceded_at is not None or each.budget_waived for each in states)


def in_hand(progress: Progress) -> list[InHand]:
    """The tools in hand in the order in which they were taken up; the map itself keeps no order that lasts."""
    return sorted(progress.hand.values(), key=lambda held: held.taken)


def in_sample(progress: Progress, step: Step) -> bool:
    """True where a step is to be done: its stage has no sample, or its position was drawn."""
    sample = progress.samples.get(step.stage) if progress.samples else None
    return sample is None or step.position is None or step.position in sample.chosen


UNTOUCHED = Standing()
