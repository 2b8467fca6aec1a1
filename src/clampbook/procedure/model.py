"""The procedure as frozen values, after reading and before planning: what is to be done.

Everything here is plain data. `reader` builds it from a file, `run.planning` turns it into ordered steps, and the
frozen plan of a run embeds these very values, so that a run never needs the procedure file again.
"""

from __future__ import annotations

import math
from decimal import Decimal
from typing import Literal

from msgspec import UNSET, Struct, UnsetType

from clampbook.units import Quantity

FastenerUse = Literal["new every time", "use again if measured", "use again"]
Scope = Literal["fastener", "neighbours", "group", "joint"]
AfterBadPull = Literal["ask", "pull again", "from the beginning"]
Once = Literal["once", "each"]
LAST_PULL = "last pull"
"""The word for what a wait counts from, beside ids of stages."""


class Window(Struct, frozen=True, kw_only=True):
    """The span in which a value must lie, both ends allowed; an end that is None is open. Ends are in `unit`, exact."""

    low: Decimal | None
    high: Decimal | None
    unit: str


class Ask(Struct, frozen=True, kw_only=True):
    """A question of the start sheet (or of the end) whose answer is kept in the record."""

    name: str
    answer: Literal["text", "number", "choice", "yes"]
    when: Literal["start", "end"] = "start"
    required: bool = False
    searched_as: Literal["equipment", "order", "usage"] | None = None  # the file's key `is`
    unit: str | None = None
    low: Decimal | None = None
    high: Decimal | None = None
    choices: tuple[str, ...] = ()


class Part(Struct, frozen=True, kw_only=True):
    """A consumable or counted part: what is written down of it, and whether left-overs are counted at the end."""

    name: str
    record: Literal["lot", "serial number", "count", "yes"]
    needed: int | None = None
    left_over: bool = False


class Place(Struct, frozen=True, kw_only=True):
    """The place of a position in the picture: x to the right, y downwards, in cells of the layout."""

    position: str
    x: float
    y: float


class Layout(Struct, frozen=True, kw_only=True):
    """One picture for the whole joint. `rows` keeps the written grid (None is an empty place) where there is one."""

    kind: Literal["rows", "circle", "at", "line"]
    places: tuple[Place, ...]
    rows: tuple[tuple[str | None, ...], ...] = ()
    seen_from: str | None = None
    edges: dict[str, str] = {}


class Prevailing(Struct, frozen=True, kw_only=True):
    """Prevailing torque of self-locking nuts: whether it is added to the target, and between what it is allowed.

    `rule`: "always" (AC 43.13-1B par. 7-40), "from a third" of the target on (Army TB 43-0218), or "included"
    (the sheet's figures already hold it; it is measured and recorded only).
    """

    rule: Literal["always", "from a third", "included"]
    least: Quantity | None = None
    most: Quantity | None = None


class FastenerSet(Struct, frozen=True, kw_only=True):
    """Positions that are worked through together, such as the bolts of one bearing cap."""

    name: str
    positions: tuple[str, ...]


class OwnStrength(Struct, frozen=True, kw_only=True):
    """The strength of a bolt that no property class stands for, and where it is printed."""

    proof: Quantity
    yield_: Quantity
    tensile: Quantity
    source: str


class Clamped(Struct, frozen=True, kw_only=True):
    """One clamped part, from the head on: how thick it is, and of what."""

    thickness: Quantity
    material: str


class Group(Struct, frozen=True, kw_only=True):
    """Fasteners that are alike for the purpose of the sheet. `order` is the sequence, each position once."""

    name: str
    one: str | None = None  # what one of them is called
    positions: tuple[str, ...]
    order: tuple[str, ...]
    fits: dict[str, str] = {}  # position -> what fits there, such as "M10x1.25 x 91 mm"
    thread: str | None = None
    property_class: str | None = None
    lubrication: str | None = None
    friction_thread: tuple[float, float] | None = None
    friction_head: tuple[float, float] | None = None
    nut_factor: tuple[float, float] | None = None
    grip: Quantity | None = None
    target: Quantity | None = None  # what shares such as "30 %" refer to
    left_hand: bool = False
    fastener: FastenerUse = "use again"
    tightenings_at_most: int | None = None  # budget of tightenings of one fastener
    prepare: tuple[str, ...] = ()
    start_over: Scope = "fastener"
    after_bad_pull: AfterBadPull = "ask"
    sets: tuple[FastenerSet, ...] = ()  # in the order in which they are done
    neighbours: dict[str, tuple[str, ...]] = {}  # complete: every position of the group is a key
    prevailing: Prevailing | None = None
    finish_within: Quantity | None = None  # time from `apply` to the last pull of a position
    recheck: Literal["allowed", "forbidden"] = "allowed"
    strength: OwnStrength | None = None
    waist: Quantity | None = None
    head: Literal["hexagon", "socket"] = "hexagon"
    seat: Literal["part", "washer"] = "part"
    clamped: tuple[Clamped, ...] = ()
    into: str | None = None  # the material of a tapped hole; None: a nut
    shank: Quantity | None = None
    adapter: str | UnsetType = UNSET  # what must stand on a torque tool for it

    def fits_at(self, position: str) -> str | None:
        """Give what belongs at one of its positions, such as "M10x1.25 x 91 mm"; None where the file does not say."""
        return self.fits.get(position, self.thread)


class StageBase(Struct, frozen=True, kw_only=True, tag_field="do"):
    """The part that all stages share. A stage with a group has `positions` in the order of work; a gate has none.

    Stages written inside one `for_each` share `block` (its number in the file, from 1) and `each`.
    """

    number: int  # from 1, each step of a for_each counting as one
    id: str | None = None
    group: str | None = None
    positions: tuple[str, ...] = ()
    manual: str | None = None
    note: str | None = None
    caution: str | None = None
    trial_skip: bool = False
    block: int | None = None
    each: Literal["position", "set"] | None = None

    @property
    def at_each(self) -> bool:
        """True where it is done at each of its positions, else once for all of them."""
        return bool(self.positions)


class Stretch(Struct, frozen=True, kw_only=True):
    """Stretch as a target: tighten and measure in turn until it lies in `window`.

    The stretch is the length minus the free length measured at `minus`.
    """

    window: Window
    minus: str | None  # id of the measure stage that holds the free length; None: the stretch itself is read
    never_above: Quantity


class Pulled(StageBase, frozen=True, kw_only=True):
    """The part that stages share for which a torque tool is pulled. `adapter` is what must stand on it, in the file's
    own words; absent from a stored plan where any socket will do."""

    adapter: str | UnsetType = UNSET

    @property
    def through(self) -> str | None:
        """The adapter between tool and fastener; None where any socket will do."""
        return self.adapter or None


class Tighten(Pulled, frozen=True, kw_only=True, tag="tighten"):
    """Pull to a torque.

    `target` and `window` are in the sheet's unit; with `stretch` the window is [None, never_above].
    """

    target: Decimal | None
    window: Window
    share: str | None = None  # "30 %" as written, when the target is a share of the group's
    rounds: int = 1
    confirm: Literal["each", "each four", "round"] = "each"
    together: int = 1
    least_pull: Decimal = Decimal(2)  # seconds
    may_repull: bool = False
    stretch: Stretch | None = None


class Turn(Pulled, frozen=True, kw_only=True, tag="turn"):
    """Turn by an angle from where the last stage left it; `target` and `window` in degrees."""

    target: Decimal
    window: Window
    rounds: int = 1
    in_strokes: bool = False
    judged_by: Literal["gauge", "mark"] = "gauge"
    together: int = 1
    final_torque: Window | None = None  # in the sheet's unit, read after the last round


class Align(Pulled, frozen=True, kw_only=True, tag="align"):
    """Turn a castle nut on to its next slot, never back, for what locks it; `at_most` in the sheet's unit, the slots
    `slot` degrees apart."""

    slot: Decimal
    lock: str
    at_most: Decimal | None = None


class Loosen(StageBase, frozen=True, kw_only=True, tag="loosen"):
    """Loosen fully, or by an angle in degrees."""

    by: Decimal | None = None
    together: int = 1


AfterFailure = Literal["as many again", "all"]


class Sample(Struct, frozen=True, kw_only=True):
    """The part of a stage that another person looks at: `share` percent of its positions, at least `least`; and how
    many more where one of those fails. Common practice, no source: contracts and site rules name share and number.
    """

    share: Decimal | None = None
    least: int = 1
    then: AfterFailure = "as many again"

    def of(self, positions: int) -> int:
        """So many of these positions are drawn: a part of one counts as a whole, and never more than there are."""
        shared = 0 if self.share is None else math.ceil(positions * self.share / 100)
        return min(positions, max(shared, self.least))


class Adjust(Struct, frozen=True, kw_only=True):
    """The way on from a value outside its window: back to the stage of this number, so many times at most."""

    back_to: int
    at_most: int


class Measure(StageBase, frozen=True, kw_only=True, tag="measure"):
    """Measure something and judge it: a gate where asked once, else at each position; at each of `points`, if any.

    `minus` names an earlier measure stage whose value (of the same position and point) is taken off before judging.
    `tensions` is True where a tensioner puts the pressure that is read on the fastener, until it is let
    down.
    """

    what: str
    unit: str
    window: Window | None = None
    asked: Once = "once"
    points: tuple[str, ...] = ()
    spread: Quantity | None = None  # the most that largest minus smallest of the points may be
    all_but: int | None = None  # how many of the points may be outside the window
    minus: str | None = None
    sample: Sample | None = None
    adjust: Adjust | UnsetType = UNSET
    tensions: bool | UnsetType = UNSET

    @property
    def at_each(self) -> bool:
        """As it is asked."""
        return self.asked == "each"


class Inspect(StageBase, frozen=True, kw_only=True, tag="inspect"):
    """Look and answer. With `hold_point` another person answers and signs in one act."""

    ask: str
    expect: Literal["yes", "no"] = "yes"
    asked: Once = "once"
    hold_point: bool = False
    sample: Sample | None = None

    @property
    def at_each(self) -> bool:
        """As it is asked."""
        return self.asked == "each"


class Wait(StageBase, frozen=True, kw_only=True, tag="wait"):
    """Let time pass, counted from the last pull, from the end of a named stage, or from a begin of its own (None)."""

    lasts: Decimal  # seconds
    as_written: str
    since: str | None = None  # "last pull", a stage's id, or None


class Recheck(Pulled, frozen=True, kw_only=True, tag="recheck"):
    """See whether anything moves. `target` in the sheet's unit; `window` None: readings are kept, not judged.

    `back_off` in degrees is how far it is loosened before it is tightened again; None for the other methods.
    """

    target: Decimal
    method: Literal["tighten on", "back off and tighten again", "first movement"]
    back_off: Decimal | None = None
    still: Decimal | None = None  # degrees that still count as still; None: no movement before it releases
    share: str | None = None
    window: Window | None = None
    as_tightened: bool = False  # the window is not written here: it is that of the tightening before it
    until_still: bool = False
    at_most: int = 1
    together: int = 1
    least_pull: Decimal = Decimal(2)
    sample: Sample | None = None


class Apply(StageBase, frozen=True, kw_only=True, tag="apply"):
    """Put sealant or locker on; starts the group's `finish_within`."""

    what: str
    lot: bool = True
    asked: Once = "each"

    @property
    def at_each(self) -> bool:
        """As it is asked."""
        return self.asked == "each"


class Mark(StageBase, frozen=True, kw_only=True, tag="mark"):
    """Mark a fastener and the part it sits on across, so that one that moved is seen later."""

    paint: str


Attested = Inspect | Wait | Apply | Mark  # no wrench, and no number comes of it: somebody says that it is so
Unmoved = Measure | Attested  # no fastener is pulled, turned or loosened
Stage = Tighten | Turn | Align | Loosen | Recheck | Unmoved


def sample_of(stage: Stage) -> Sample | None:
    """The sample that an inspector draws before the stage; None where all its positions are worked on."""
    return stage.sample if isinstance(stage, Inspect | Measure | Recheck) else None


class SignOff(Struct, frozen=True, kw_only=True):
    """A role that signs at the end."""

    role: str
    required: bool
    another_person: bool = False


class FollowUp(Struct, frozen=True, kw_only=True):
    """Work that is due after this run, by time or by use, whichever comes first."""

    title: str
    after: Quantity | None
    or_use: Quantity | None
    stages: tuple[Stage, ...]


class Release(Struct, frozen=True, kw_only=True):
    """The release of this revision: by whom, compared with which sheet, when, and when to look again. Dates are ISO
    8601.

    `says` is the SHA-256 of what the file said then (`release.says`), `key` the fingerprint of the key that signed it.
    """

    by: str
    compared_with: str
    on: str
    look_again_by: str | None = None
    says: str | None = None
    key: str | None = None


class Withdrawal(Struct, frozen=True, kw_only=True):
    """The withdrawal of this revision: by whom, when, and why."""

    by: str
    on: str
    because: str
    key: str | None = None


class Accepted(Struct, frozen=True, kw_only=True):
    """A query of the review, by its code, that somebody looked at, and why it is all right."""

    query: str
    because: str


Walked = Literal["one after the other", "interleaved"]


class Joints(Struct, frozen=True, kw_only=True):
    """Several joints of one kind in one run, each with its own name, and how they are walked."""

    one: str | None
    names: tuple[str, ...]
    walk: Walked


Accept = Literal["simple", "guarded"]


class Procedure(Struct, frozen=True, kw_only=True):
    """A whole procedure. `stages` stand in the order of work; `unit` is the sheet's torque unit."""

    title: str
    revision: str
    unit: str
    layout: Layout
    groups: tuple[Group, ...]
    stages: tuple[Stage, ...]
    status: Literal["draft", "released", "withdrawn"] = "draft"
    release: Release | None = None
    withdrawal: Withdrawal | None = None
    lapsed: str | None = None  # why a release that stands in the file does not hold, so that it is a draft
    source: str | None = None
    cautions: tuple[str, ...] = ()
    pause_limit: Decimal = Decimal(600)  # seconds
    accept: Accept = "simple"  # guarded: a window is made narrower by what is not known of the tool
    asks: tuple[Ask, ...] = ()
    parts: tuple[Part, ...] = ()
    sign_off: tuple[SignOff, ...] = ()
    repeat: tuple[str, ...] = ()
    joints: Joints | None = None  # groups and stages are those of one of them
    follow_ups: tuple[FollowUp, ...] = ()
    accepted: tuple[Accepted, ...] = ()
