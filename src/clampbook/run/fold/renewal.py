"""The fasteners that may not be tightened again once they are loose: a new one takes their place."""

from __future__ import annotations

from clampbook.run.fold.fastener import seated
from clampbook.run.plan import Plan
from clampbook.run.progress import Progress, standing


def needs_renewal(plan: Plan, progress: Progress, position: str) -> bool:
    """True where a fastener may not be used again: once its turn began where the group wants new ones every time."""
    used = standing(progress, position).fastener.used
    return used and plan.group_of[position].fastener == "new every time"


def used_up(plan: Plan, progress: Progress, position: str) -> bool:
    """True where the fastener at a position has had all the tightenings that its group allows."""
    most = plan.group_of[position].tightenings_at_most
    return most is not None and standing(progress, position).tightenings >= most


def spent(plan: Plan, progress: Progress, position: str) -> bool:
    """True where the fastener at a position cannot start over: nobody need look whether it may be used again."""
    return needs_renewal(plan, progress, position) or used_up(plan, progress, position)


def budget_used_up(plan: Plan, progress: Progress, position: str, *, backed_off: bool = False) -> bool:
    """True where the next pull would be a tightening beyond the budget that nobody has agreed to yet."""
    state = standing(progress, position)
    tightens = backed_off or not seated(state.fastener)
    return tightens and not state.budget_waived and used_up(plan, progress, position)
