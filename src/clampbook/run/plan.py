"""The frozen plan of a run: every step in order, with all that the run needs to know of its procedure.

`plan.json` is this value; resuming and verifying read it and never plan again.
"""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from functools import cache, cached_property
from itertools import groupby

import msgspec
from msgspec import UNSET, Struct, UnsetType

from clampbook.procedure.model import Accept, Accepted, Ask, Group, Layout, Part, SignOff, Stage
from clampbook.procedure.naming import of_joint
from clampbook.procedure.unfolding import JointPlanned, Several


class Step(Struct, frozen=True, kw_only=True, omit_defaults=True):
    """One step: one position in one round of one stage, or a gate (position None).

    `target` and `window` are in `unit` as the sheet has them, `target_si` and `window_si` the same in SI
    (N·m, rad, m). `section` counts what must be settled before the next begins: a round, a set, a block, a small
    set done together.
    """

    number: int  # from 1
    id: str
    stage: int
    kind: str
    section: int
    round: int = 1
    group: str | None = None
    position: str | None = None
    set: str | None = None
    point: str | None = None
    target: Decimal | None = None
    window: tuple[Decimal | None, Decimal | None] | None = None
    unit: str | None = None
    target_si: float | None = None
    window_si: tuple[float | None, float | None] | None = None


class StageClamp(Struct, frozen=True, kw_only=True, omit_defaults=True):
    """The estimated clamp load in N after a round of a stage, worst case of the sheet's own windows and frictions.

    `yields_at` is the angle in degrees at which a turn reaches yield, `beyond`: its window goes past that.
    `each_degree` is what a turn adds up to yield, `levels_at` where low, likely and high go on level, both in N.
    """

    stage: int
    round: int
    low: float
    likely: float
    high: float
    yields_at: float | None = None
    beyond: bool = False
    each_degree: float | None = None  # None in plans of old
    levels_at: tuple[float, float, float] | None = None


class Clamping(Struct, frozen=True, kw_only=True):
    """The way from torque to clamp load at these positions, in N for each N·m at the highest, middle and
    lowest friction.

    An estimate: friction was assumed, and the tool's own error is not in it.
    """

    group: str
    positions: tuple[str, ...]
    thread: str
    each_newton_metre: tuple[float, float, float]
    each_newton_metre_statistical: tuple[float, float]  # low and high; likely is the same
    proof_load: float | None
    stages: tuple[StageClamp, ...]
    each_millimetre: float | None = None  # N for each mm of stretch; None where the bolt's shape is not known


class DueLater(Struct, frozen=True, kw_only=True):
    """A follow-up that falls due after this run; seconds, and use as written."""

    title: str
    after: Decimal | None
    or_use: str | None


class Plan(Struct, frozen=True, kw_only=True, dict=True):
    """A planned run. `stages` holds all stages by number, also those that a trial leaves out."""

    plan: int
    title: str
    slug: str
    revision: str
    status: str
    source: str | None
    unit: str
    trial: bool
    joint: str | None  # which of `repeat`
    follow_up: str | None
    pause_limit: Decimal
    cautions: tuple[str, ...]
    asks: tuple[Ask, ...]
    parts: tuple[Part, ...]
    layout: Layout
    groups: tuple[Group, ...]
    stages: tuple[Stage, ...]
    steps: tuple[Step, ...]
    sign_off: tuple[SignOff, ...]
    due_later: tuple[DueLater, ...] = ()
    released: str | None = None
    accept: Accept = "simple"
    clamping: tuple[Clamping, ...] = ()  # empty where nothing could be estimated, and in plans of old
    look_again_by: str | None = None  # the day by which its release wants it looked at again
    not_released: str | None = None  # why it is no released revision, where the file says more than that it is none
    accepted_queries: tuple[Accepted, ...] = ()  # as the procedure's file answers them; empty in plans of old
    several: Several | UnsetType = UNSET  # where one run does several joints; `layout` is then that of each
    asked_new: tuple[str, ...] | UnsetType = UNSET  # groups of one-use fasteners, asked about; left out where none is
    from_paper: bool | UnsetType = UNSET  # typed in late from a filled form; left out of a run that is walked

    @property
    def late(self) -> bool:
        """True where the run is typed in from a filled paper form: it records, and orders nothing."""
        return self.from_paper is True

    @property
    def joints(self) -> tuple[JointPlanned, ...]:
        """The joints of the run in their order; none where it does only one."""
        return () if self.several is UNSET else self.several.joints

    @property
    def joints_left_out(self) -> tuple[str, ...]:
        """The whole names of the joints of the procedure that this run leaves to another; none where it does all."""
        return () if self.several is UNSET else self.several.left_out or ()

    @property
    def joints_walked(self) -> str | None:
        """The order in which joints are walked, in the words of the file; None in a run that does only one."""
        return None if self.several is UNSET else self.several.walk

    @property
    def joints_interleaved(self) -> bool:
        """True where each stage is done at all joints before the next stage."""
        return self.joints_walked == "interleaved"

    @cached_property
    def alike(self) -> dict[str, tuple[Group, ...]]:
        """The groups by their names in the procedure's file: of several joints one of each."""
        if self.several is UNSET:
            return {group.name: (group,) for group in self.groups}
        by_joint = [[self.group_named[name] for name in joint.groups] for joint in self.joints]
        return dict(zip(self.several.groups, zip(*by_joint, strict=True), strict=True))

    def joint_at(self, position: str | None, stage: int) -> JointPlanned | None:
        """The joint of a position, or of a stage where it is none; None where a run does only one, or all at once."""
        found = self.joint_of.get(position) if position is not None else None
        return found or self.joint_of_stage.get(stage)

    def numbers_of(self, id: str, stage: int) -> tuple[int, ...]:
        """The numbers of what a stage calls by this id; a wait for all joints means the stage of that id at each."""
        at_all = () if stage in self.joint_of_stage else (of_joint(joint.name, id) for joint in self.joints)
        ids = {id, *at_all}
        return tuple(each.number for each in self.stages if each.id in ids)

    @cached_property
    def numbered(self) -> dict[int, int]:
        """The number by which each stage is told: at each of several joints they begin at 1, as in the procedure's
        file, and a wait for all of them counts with the others."""
        return numbers_told([stage.number for stage in self.stages], [joint.stages for joint in self.joints])

    @cached_property
    def joint_of_stage(self) -> dict[int, JointPlanned]:
        """The joint of each stage; of several joints a wait for all has none."""
        return {number: joint for joint in self.joints for number in joint.stages}

    @cached_property
    def joint_of(self) -> dict[str, JointPlanned]:
        """The joint of each position, where there are several."""
        return {
            position: joint
            for joint in self.joints
            for name in joint.groups
            for position in self.group_named[name].positions
        }

    @cached_property
    def index_of(self) -> dict[str, int]:
        """Step name to its place in `steps`, from 0."""
        return {step.id: index for index, step in enumerate(self.steps)}

    @cached_property
    def clamp_after(self) -> dict[tuple[str | None, int, int], tuple[StageClamp, float | None]]:
        """Position, stage and round to the clamp load estimated there, with the proof load in N where it is known."""
        return {
            (position, stage.stage, stage.round): (stage, each.proof_load)
            for each in self.clamping
            for stage in each.stages
            for position in each.positions
        }

    @cached_property
    def group_named(self) -> dict[str, Group]:
        """Groups by name."""
        return {group.name: group for group in self.groups}

    @cached_property
    def group_of(self) -> dict[str, Group]:
        """The group of each position."""
        return {position: group for group in self.groups for position in group.positions}

    @cached_property
    def clamping_at(self) -> dict[str, Clamping]:
        """The clamping at each position, where it is known."""
        return {position: each for each in self.clamping for position in each.positions}

    @cached_property
    def steps_of(self) -> dict[str, tuple[int, ...]]:
        """Places in `steps` of each position, in order."""
        found: dict[str, list[int]] = {}
        for index, step in enumerate(self.steps):
            if step.position is not None:
                found.setdefault(step.position, []).append(index)
        return {position: tuple(indices) for position, indices in found.items()}

    @cached_property
    def last_of_stage(self) -> dict[int, int]:
        """Place in `steps` of the last step of each stage."""
        return {step.stage: index for index, step in enumerate(self.steps)}

    @cached_property
    def first_of_stage(self) -> dict[int, int]:
        """Place in `steps` of the first step of each stage."""
        return {step.stage: index for index, step in reversed(list(enumerate(self.steps)))}

    @cached_property
    def run_of(self) -> tuple[tuple[int, int], ...]:
        """For each place in `steps`: first and last place of the unbroken run of steps of the same stage around it."""
        ends: list[tuple[int, int]] = []
        for _, members in groupby(enumerate(self.steps), key=lambda pair: pair[1].stage):
            places = [index for index, _ in members]
            ends += [(places[0], places[-1])] * len(places)
        return tuple(ends)

    @cached_property
    def round_of(self) -> dict[tuple[int, int], dict[str, int]]:
        """Steps of each round by position; by the first place of the unbroken run of its stage, and its number."""
        found: dict[tuple[int, int], dict[str, int]] = {}
        for index, step in enumerate(self.steps):
            if step.position is not None:
                found.setdefault((self.run_of[index][0], step.round), {})[step.position] = index
        return found

    def at_position(self, step: Step, position: str | None) -> Step:
        """The step that a position has where another one has `step`: of the same stage and round, else its first.

        A step of no position, or of this very one, stays what it is.
        """
        own = () if position is None else tuple(self.steps[place] for place in self.steps_of.get(position, ()))
        if step.position in (None, position) or not own:
            return step
        same = (each for each in own if (each.stage, each.round) == (step.stage, step.round))
        return next(same, own[0])

    def stage_of(self, step: Step) -> Stage:
        """The stage a step belongs to."""
        return self.stages[step.stage - 1]


def numbers_told(stages: Sequence[int], at_joints: Sequence[Sequence[int]]) -> dict[int, int]:
    """The number by which each of these stages is told, of several joints with those of each; see `Plan.numbered`."""
    if not at_joints:
        return {number: number for number in stages}
    for_all = set(stages).difference(*at_joints)
    at_each = [sorted((*own, *for_all)) for own in at_joints]
    return {number: place for numbers in at_each for place, number in enumerate(numbers, 1)}


def encode(plan: Plan) -> bytes:
    """The bytes of plan.json: UTF-8, keys sorted, indented so that a person can read it, ends with a newline."""
    return msgspec.json.format(msgspec.json.encode(plan, order="sorted"), indent=1) + b"\n"


@cache
def _decoder() -> msgspec.json.Decoder[Plan]:
    """Made at the first plan that is read: whoever only writes one need not wait for it."""
    return msgspec.json.Decoder(Plan)


def decode(data: bytes) -> Plan:
    """Read plan.json; raises msgspec.DecodeError or ValidationError where it is none."""
    return _decoder().decode(data)
