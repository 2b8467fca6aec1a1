"""The cost of a way to go on: how many fasteners it loosens, and how many pulls come again, as the plan has them."""

from __future__ import annotations

from collections.abc import Iterable

from msgspec import Struct

from clampbook.procedure.model import Scope
from clampbook.run.fold.adjusting import Loop
from clampbook.run.fold.again import go_back, start_over
from clampbook.run.plan import Plan
from clampbook.run.progress import Frame, Progress
from clampbook.run.questions.decided import members
from clampbook.run.told.places import kind_of_fastener

_PULLS = frozenset({"tighten", "turn", "recheck"})


class Cost(Struct, frozen=True):
    """Fasteners that are loosened, or let down from a tensioner, and pulls of the plan that are made again: more where
    one stays under. `one` is what one of them is called."""

    loosens: int
    pulls: int
    lets_down: int = 0
    one: str = "bolt"

    @property
    def told(self) -> str:
        """In few words: "loosens 4 bolts, about 9 pulls"."""
        parts = (
            ("lets down", self.lets_down, self.one),
            ("loosens", self.loosens, self.one),
            ("about", self.pulls, "pull"),
        )
        return ", ".join(f"{does} {many} {what}{'' if many == 1 else 's'}" for does, many, what in parts if many)


def of_starting_over(
    plan: Plan, progress: Progress, positions: Iterable[str], step: int, scope: Scope, *, renew: bool
) -> Cost:
    """Give what it costs to take these positions, and those that the scope adds, from the beginning."""
    named = [position for position in positions if position in plan.group_of]
    chosen = dict.fromkeys(each for position in named for each in members(plan, position, scope))
    new = frozenset(named if renew else ())
    return _of(plan, start_over(plan, progress, chosen, step, renew=new, joint=scope == "joint"), progress)


def of_going_back(plan: Plan, progress: Progress, stage: int, gate: int) -> Cost:
    """Give what it costs to send the work back to a stage."""
    return _of(plan, go_back(plan, progress, stage, gate), progress)


def of_adjusting(plan: Plan, loop: Loop) -> Cost:
    """Give what it costs to go back from a measurement once."""
    steps = [plan.steps[plan.index_of[name]] for name in loop.steps]
    steps = [each for each in steps if each.position is not None]
    loosened = [each.position or "" for each in steps if each.kind == "loosen"]
    return Cost(len(loosened), sum(each.kind in _PULLS for each in steps), one=kind_of_fastener(plan, loosened))


def _of(plan: Plan, after: Progress, before: Progress) -> Cost:
    laid_on = after.frames[-1]
    if len(after.frames) <= len(before.frames) and laid_on in before.frames:
        return Cost(0, 0)
    freed = [work for work in laid_on.prologue if work.work in ("loosen", "let down")]
    works = [work.work for work in freed]
    one = kind_of_fastener(plan, (work.position for work in freed))
    return Cost(works.count("loosen"), _pulls(plan, laid_on), works.count("let down"), one)


def _pulls(plan: Plan, frame: Frame) -> int:
    """The pulls of a frame, from its first step to its last."""
    return sum(
        step.kind in _PULLS and step.position is not None and (not frame.positions or step.position in frame.positions)
        for step in plan.steps[frame.first : frame.last + 1]
    )
