"""Loosening by an angle adds up: the same once more takes nothing back of what was turned before.

Only a fastener that is tightened since begins anew.
"""

from __future__ import annotations

from collections.abc import Iterable

from msgspec.structs import replace

from clampbook.procedure.model import Loosen
from clampbook.run.fold.acts import CLICKS, Act
from clampbook.run.plan import Plan

_TIGHTENED = ("pull", *CLICKS, "turn", "recheck")
_DONE_ALL_THE_SAME = ("loosened again", "adjusted since")


def added_up(plan: Plan, acts: Iterable[Act]) -> list[Act]:
    """The same acts; each loosening by an angle counts that no later pull or turn of its fastener takes back."""
    tightened: set[str | None] = set()
    found: list[Act] = []
    for act in reversed(list(acts)):
        if act.kind in _TIGHTENED:
            tightened.add(act.position)
        elif act.why_not in _DONE_ALL_THE_SAME and act.position not in tightened and _by_an_angle(plan, act):
            act = replace(act, why_not=None)
        found.append(act)
    found.reverse()
    return found


def _by_an_angle(plan: Plan, act: Act) -> bool:
    if act.kind != "loosening" or act.work or act.step not in plan.index_of:
        return False
    stage = plan.stage_of(plan.steps[plan.index_of[act.step]])
    return isinstance(stage, Loosen) and stage.by is not None
