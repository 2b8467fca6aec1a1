"""The joints of a run that does several: which one is at hand, and how far each of them is done."""

from __future__ import annotations

from msgspec import Struct

from clampbook.procedure.unfolding import JointPlanned
from clampbook.run.asked import where_of
from clampbook.run.plan import Plan
from clampbook.run.progress import Progress, standing
from clampbook.run.prompts import Prompt
from clampbook.run.session import Session
from clampbook.run.told.marks import Mark

# What is still to be settled at a bolt, however far the work went on elsewhere.
_OPEN = frozenset({"skipped", "broken", "unknown", "to do again", "void"})
# The worst first; a mark that is not here stands at a bolt that is not done.
_WORST: tuple[Mark, ...] = (
    "over",
    "under",
    "moved",
    "concession",
    "clicked",
    "confirmed",
    "loosened",
    "applied",
    "within",
)
_WITHOUT_A_BOLT: Mark = "applied"  # it is done, and nothing was read at a bolt


class JointAt(Struct, frozen=True):
    """A joint by its whole name and by what tells it from the others; its mark is the worst of its bolts, and "to do"
    as long as something is left to do there, of the stage at hand where stages are interleaved."""

    name: str
    key: str
    mark: Mark
    now: bool

    @property
    def done(self) -> bool:
        """True where nothing is left to do."""
        return self.mark != "to do"


def at_hand(plan: Plan, prompt: Prompt) -> JointPlanned | None:
    """The joint that a question is about; the first one before any is, and None in a run that does only one."""
    if not plan.joints:
        return None
    where = where_of(prompt)
    found = None if where is None else plan.joint_at(where.position, where.stage)
    return found or plan.joints[0]


def at_hand_key(plan: Plan, prompt: Prompt) -> str | None:
    """The part of their labels that the positions of the joint at hand have in common."""
    joint = at_hand(plan, prompt)
    return None if joint is None else joint.key


def row(session: Session, prompt: Prompt) -> tuple[JointAt, ...]:
    """All joints in their order; none in a run that does only one."""
    plan, progress = session.plan, session.progress
    where = where_of(prompt)
    here = None if where is None else plan.joint_at(where.position, where.stage)
    sweep = None if where is None or not plan.joints_interleaved else where.stage_told
    return tuple(
        JointAt(joint.name, joint.key, _mark(plan, progress, joint, sweep), now=joint == here) for joint in plan.joints
    )


def _mark(plan: Plan, progress: Progress, joint: JointPlanned, sweep: int | None) -> Mark:
    """The mark of a joint up to the stage `sweep` that all go through now; None: each goes through all stages."""
    stages = [number for number in joint.stages if sweep is None or plan.numbered[number] <= sweep]
    last = max((plan.last_of_stage.get(stage, -1) for stage in stages), default=-1)
    if progress.frames[0].next <= last:
        return "to do"
    positions = (position for name in joint.groups for position in plan.group_named[name].positions)
    states = [standing(progress, position) for position in positions]
    if any(state.outcome in _OPEN for state in states):
        return "to do"
    found = {state.outcome for state in states} | {"concession" for state in states if state.conceded_at is not None}
    return next((mark for mark in _WORST if mark in found), _WITHOUT_A_BOLT)


def in_words(joints: tuple[JointAt, ...]) -> tuple[str, ...]:
    """The joints for whoever hears them: which is at hand, and which are done."""
    return tuple(f"{joint.name}: {'at hand' if joint.now else 'done' if joint.done else 'to do'}" for joint in joints)
