"""How often a tool was loaded in a check: that counts towards its interval by cycles like any other pull."""

from __future__ import annotations

from clampbook.check.plan import CheckPlan
from clampbook.check.progress import Progress


def pulls_in(plan: CheckPlan, progress: Progress) -> dict[str, dict[str, int]]:
    """By tool and day: readings, bad pulls and preloads, all on the day of the last line; none where none was made."""
    many = len(progress.pulls) + progress.voids + sum(progress.preloads.values())
    return {plan.tool.id: {progress.at[:10]: many}} if many else {}
