"""The acts that were done last, in sentences, for whoever comes back to the bench."""

from __future__ import annotations

from clampbook.run.plan import Plan
from clampbook.run.progress import Progress, standing
from clampbook.run.told.marks import marked
from clampbook.run.told.places import bolt_at
from clampbook.text import started


def last_three(plan: Plan, progress: Progress) -> tuple[str, ...]:
    """The positions that were finished last, the latest at the end; of several joints each by its bolt's name."""
    if not progress.recent:
        return ("No position is finished yet.",)
    lines = []
    for position in progress.recent:
        state = standing(progress, position)
        outcome = marked(state.outcome) if state.outcome is not None else "to do"
        value = f", last value {state.last_value}" if state.last_value is not None and state.outcome == "within" else ""
        named = started(bolt_at(position, plan)) if plan.joints else f"Position {position}"
        lines.append(f"{named}: {outcome}{value}.")
    return tuple(lines)
