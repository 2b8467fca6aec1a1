"""The pulls with a tool in a check: they count towards its interval by pulls like any other pull."""

from __future__ import annotations

from clampbook.check.plan import CheckPlan
from clampbook.check.progress import Progress


def pulls_in(plan: CheckPlan, progress: Progress) -> dict[str, dict[str, int]]:
    """By tool and day: readings, bad pulls and exercise, as the fold of its lines counted them; none where none was."""
    return {plan.tool.id: progress.loaded} if progress.loaded else {}
