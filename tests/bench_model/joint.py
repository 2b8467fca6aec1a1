"""The joint as the model knows it: what it wrote into the procedure, in exact numbers."""

from dataclasses import dataclass, field
from fractions import Fraction
from typing import Any

import tomli_w

from bench_model.amounts import newton_metres


@dataclass(frozen=True)
class Group:
    """Fasteners that are alike."""

    name: str
    positions: tuple[str, ...]
    written: str = ""  # its name in the file, where it stands at each of several joints
    left_hand: bool = False
    prevailing: str | None = None
    least: Fraction | None = None
    tightenings_at_most: int | None = None
    after_bad_pull: str = "ask"
    one_use: bool = False
    finish_within: int | None = None
    table: dict[str, Any] = field(default_factory=dict)


@dataclass(frozen=True)
class Stage:
    """One thing to do. Torques in N·m, angles in degrees, lengths in mm."""

    kind: str
    number: int
    group: str | None
    low: Fraction | None = None
    target: Fraction | None = None
    high: Fraction | None = None
    rounds: int = 1
    confirm: str = "each"
    method: str | None = None
    still_angle: Fraction | None = None
    until_still: bool = False
    strokes: bool = False
    by_mark: bool = False
    final: tuple[Fraction, Fraction] | None = None
    spread: Fraction | None = None
    measured_in: str = "mm"
    all_but: int | None = None
    never_above: Fraction | None = None
    stretch: tuple[Fraction, Fraction] | None = None
    hold_point: bool = False
    fully: bool = True
    seconds: int = 0
    lot: bool = True
    sample: tuple[Fraction, int] | None = None  # the share that is drawn, and the least number
    all_follow: bool = False  # where one of the sample fails
    adapter: str | None = None
    back_to: int | None = None
    adjust_at_most: int = 0
    called: int | None = None  # its number on paper, where several joints each begin at 1


@dataclass(frozen=True)
class Joint:
    """A procedure: its groups, its stages, and its text as a person would have written it."""

    title: str
    unit: str
    groups: tuple[Group, ...]
    stages: tuple[Stage, ...]
    follow_up: tuple[Stage, ...]
    guarded: bool
    pause_limit: int
    table: dict[str, Any]

    def text(self) -> str:
        """The procedure file."""
        return tomli_w.dumps(self.table)

    def group_of(self, position: str) -> Group:
        """The group a position belongs to."""
        return next(group for group in self.groups if position in group.positions)

    def stage(self, step: str, follow_up: bool = False) -> Stage:
        """The stage of a step such as 3.1/4; follow-ups count from 1 anew."""
        number = int(step.split(".")[0])
        return (self.follow_up if follow_up else self.stages)[number - 1]


def round_of(step: str) -> int:
    """The round of a step: 2 in 3.2/4."""
    return int(step.split("/")[0].split(".")[1])


def judged(value: Fraction, low: Fraction | None, high: Fraction | None) -> str:
    """Within, under or over, on exact numbers."""
    if low is not None and value < low:
        return "under"
    if high is not None and value > high:
        return "over"
    return "within"


def with_drag(
    stage: Stage, group: Group, drag: Fraction | None, sheet_unit: str
) -> tuple[Fraction, Fraction, Fraction]:
    """Low, target and high of a tightening, with the prevailing torque added by the group's rule."""
    assert stage.low is not None and stage.target is not None and stage.high is not None
    _ = newton_metres(Fraction(1), sheet_unit)
    if drag is None or group.prevailing in (None, "included"):
        return stage.low, stage.target, stage.high
    if group.prevailing == "from a third" and drag * 3 < stage.target:
        return stage.low, stage.target, stage.high
    return stage.low + drag, stage.target + drag, stage.high + drag
