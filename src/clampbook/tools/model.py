"""Tools of a joint: a tool of the book as a frozen value, in the unit printed on that very tool.

A run embeds the whole tool, its adapter and its last check in the line of its daybook that says who picked it up, so
nothing here points elsewhere.
"""

from __future__ import annotations

from decimal import Decimal
from typing import Literal, assert_never

from msgspec import UNSET, Struct, UnsetType

from clampbook.units import Kind, Quantity

Instrument = Literal["micrometer", "caliper", "dial gauge", "depth gauge", "feeler gauges", "pressure gauge"]
ToolKind = Literal["setting", "indicating", "angle gauge", "marks", "reference", "not listed"] | Instrument
Gives = Literal["click", "slip", "break"]  # how a setting tool tells that its torque is there
Directions = Literal["both", "clockwise", "anticlockwise"]
CheckVerdict = Literal["passed", "failed", "undecided"]
TroubleKind = Literal["dropped", "suspect", "zero wrong", "zero unknown"]
WORKING = ("setting", "indicating")  # kinds that put a torque on a fastener
# Kinds that measure what is no torque, each with what is read on its scale.
MEASURING: dict[str, Kind] = {
    "micrometer": Kind.LENGTH,
    "caliper": Kind.LENGTH,
    "dial gauge": Kind.LENGTH,
    "depth gauge": Kind.LENGTH,
    "feeler gauges": Kind.LENGTH,
    "pressure gauge": Kind.PRESSURE,
}
Judges = Literal["spread", "difference"]  # what a width is of, where it is not the window of the reading itself
SHOWN_BY = {**MEASURING, "angle gauge": Kind.ANGLE}  # an angle gauge shows turns, and measures angles as well


def one_use(kind: str | None) -> str:
    """The word for each use of a tool of this kind: of an instrument a reading, of any other a pull."""
    return "reading" if kind in MEASURING else "pull"


def way_word(direction: str) -> str:
    """Give a direction as people say it; files have the other word."""
    return direction.replace("anticlockwise", "counterclockwise")


class Certified(Struct, frozen=True, kw_only=True):
    """One point of a certificate: `at` on the scale, how far it was `off_by` there (above zero: it shows too much), and
    the expanded uncertainty of that; both in percent, of what measures in the tool's unit."""

    at: Decimal
    off_by: Decimal
    uncertainty: Decimal


class Withdrawn(Struct, frozen=True, kw_only=True):
    """Since when (ISO 8601) and why a tool must not be used."""

    on: str
    reason: str


class Tool(Struct, frozen=True, kw_only=True):
    """One tool. `minimum`, `maximum`, `resolution`, `working_range`, `wound_down_to` are in `unit`; dates are ISO 8601.

    Kinds (ISO 6789 tells the first two apart): "setting" gives at a set torque and shows no reading, "indicating"
    shows a torque, "angle gauge" shows an angle, "marks" is turning by the mark with no gauge at all,
    "reference" is what other tools are checked against and never tightens a joint, "not listed" is whatever measured
    that tools.toml does not have; the kinds of `MEASURING` measure lengths or pressures.
    Deviations and uncertainties are relative, in percent of the torque, but the uncertainty of what measures, and
    of an angle gauge, is in `unit`; `uncertainty` is expanded by `coverage`.
    """

    id: str  # lower-case, such as "w2"; never used for another tool
    name: str  # as it stands on the tool, such as "W2"
    kind: ToolKind
    unit: str  # canonical; "°" for gauges and marks
    minimum: Decimal | None = None
    maximum: Decimal | None = None
    resolution: Decimal | None = None
    wound_down: bool = False  # wants winding down after use
    wound_down_to: Decimal | None = None
    reads_angle: bool = False
    gives: Gives = "click"  # of a setting tool
    follower_needle: bool = False
    only_unit: bool = False  # its scale has no other unit than `unit`
    serial: str | None = None
    calibrated_on: str | None = None
    calibration_due: str | None = None
    note: str | None = None
    iso_type: Literal["I", "II"] | None = None
    iso_class: str | None = None  # "A" to "G"
    permissible_deviation: Decimal | None = None
    permissible_from: str | None = None  # "tools.toml", or the standard that it was taken from
    working_range: tuple[Decimal, Decimal] | None = None  # None: from a fifth of the maximum up to it
    lever: Quantity | None = None  # from the drive to the middle of the grip
    directions: Directions = "both"
    interval_months: int | None = None
    interval_pulls: int | None = None
    certificate: str | None = None
    uncertainty: Decimal | None = None
    coverage: Decimal = Decimal(2)
    withdrawn: Withdrawn | None = None
    certified: tuple[Certified, ...] | UnsetType = UNSET  # points of its certificate, rising; not stored where none

    @property
    def points(self) -> tuple[Certified, ...]:
        """The points of its certificate."""
        return () if isinstance(self.certified, UnsetType) else self.certified


class Adapter(Struct, frozen=True, kw_only=True):
    """An adapter between drive and fastener, which changes the lever; or a torque multiplier, which has a ratio.

    `extension` runs along the lever, below zero where it shortens; `offset` is its angle to the lever in degrees. None
    where its entry does not say it and it is asked for when it is picked up. `kinds` are what procedures call it. A
    multiplier has neither: the fastener gets `ratio` times what the tool gives, known to `ratio_uncertainty`, in
    percent and expanded (k = 2), as long as it gives no more than `max_torque` and takes no more than `max_torque_in`.
    None of these is stored where it is none.
    """

    id: str
    name: str
    extension: Quantity | None = None
    offset: Decimal | None = Decimal(0)
    note: str | None = None
    kinds: tuple[str, ...] | UnsetType = UNSET
    ratio: Decimal | UnsetType = UNSET
    ratio_uncertainty: Decimal | UnsetType = UNSET
    max_torque: Quantity | UnsetType = UNSET
    max_torque_in: Quantity | UnsetType = UNSET

    @property
    def known(self) -> bool:
        """True where it can be worked out what it does to a lever."""
        return self.extension is not None and self.offset is not None

    @property
    def multiplies_by(self) -> Decimal | None:
        """The ratio of a multiplier."""
        return None if isinstance(self.ratio, UnsetType) else self.ratio

    @property
    def known_to(self) -> Decimal:
        """The expanded uncertainty of its ratio, in percent; nothing where nobody wrote one."""
        return Decimal(0) if isinstance(self.ratio_uncertainty, UnsetType) else self.ratio_uncertainty

    @property
    def gives_at_most(self) -> Quantity | None:
        """The greatest torque that a multiplier may give."""
        return None if isinstance(self.max_torque, UnsetType) else self.max_torque

    @property
    def takes_at_most(self) -> Quantity | None:
        """The greatest torque that may go into it."""
        return None if isinstance(self.max_torque_in, UnsetType) else self.max_torque_in


class LastCheck(Struct, frozen=True, kw_only=True):
    """The latest check of a tool: `check` names its folder, `on` is the day (ISO 8601), `worst` is in percent."""

    check: str
    on: str
    verdict: CheckVerdict
    series: Literal["as found", "as left"] = "as found"
    worst: Decimal | None = None


class Trouble(Struct, frozen=True, kw_only=True):
    """Trouble with a tool that no check has looked at since: `at` (UTC), on a day of the place (ISO 8601).

    `run` and `line` are the daybook that tells of it. What a zero showed is known to its own run alone.
    """

    kind: TroubleKind
    at: str
    on: str
    run: str
    line: int
    why: str | None = None

    @property
    def says(self) -> str:
        """In a clause that follows the tool's name: "dropped on 2026-03-02"."""
        return happened(self.kind, self.on, self.why)

    @property
    def cause(self) -> str:
        """A word for it, and for no other: what a reason that was given for it stands for."""
        return cause_of(self.kind, self.run, self.line)

    @property
    def told_at(self) -> tuple[str, int]:
        """The line that tells of it, by which it is known for the same everywhere."""
        return self.run, self.line


def cause_of(kind: TroubleKind, run: str, line: int) -> str:
    """Give the word for what a line of a run tells, and for nothing else."""
    return f"{kind} {run} {line}"


def happened(kind: TroubleKind, on: str, why: str | None) -> str:
    """Tell of a trouble in a clause that follows the tool's name: "suspect since 2026-03-02: it creaks"."""
    because = f": {why}" if why else ""
    match kind:
        case "dropped":
            return f"dropped on {on}{because}"
        case "suspect":
            return f"suspect since {on}{because}"
        case "zero wrong":
            return "its zero is off"
        case "zero unknown":
            return "its zero is not sure"
        case _:
            assert_never(kind)


class Use(Struct, frozen=True, kw_only=True):
    """The facts that the book has of a tool beside its entry: pulls since its calibration, its latest check,
    and what happened to it since it last passed one.

    `serial_was` is the serial number that its id was known by last, where another one stands in the entry now and
    nobody has said yet whether that is another tool; until then all this is of both. `others` are the serial numbers
    (folded) of other tools that had its id.
    """

    pulls: int = 0
    last_check: LastCheck | None = None
    troubles: tuple[Trouble, ...] = ()
    serial_was: str | None = None
    others: frozenset[str] = frozenset()

    @property
    def failed(self) -> LastCheck | None:
        """The latest check, where it found the tool off by more than is allowed."""
        check = self.last_check
        return check if check is not None and check.verdict == "failed" else None


class Stock(Struct, frozen=True):
    """All that there is to choose from: tools and adapters in the order of the file, and what is known of their use."""

    tools: tuple[Tool, ...] = ()
    adapters: tuple[Adapter, ...] = ()
    uses: dict[str, Use] = {}

    def use(self, tool: str) -> Use:
        """Use of a tool, as far as it is known; nothing where nobody counted."""
        return self.uses.get(tool, _UNUSED)


_UNUSED = Use()
