"""The pulls of each tool in a run, day by day: what counts towards its interval by pulls."""

from __future__ import annotations

from collections.abc import Iterable

from clampbook.run.events import Event, ToolTaken
from clampbook.run.fold.apply import begin
from clampbook.run.fold.follow import follow
from clampbook.run.fold.taking_back import as_they_stand
from clampbook.run.plan import Plan
from clampbook.tools.pull_counts import Pulled


def pulls(plan: Plan, events: Iterable[Event]) -> Pulled:
    """The pulls of these lines: each act that a tool was loaded for, whatever became of it later; of a form none that
    was typed wrong and taken back."""
    found: Pulled = {}
    serials: dict[str, str | None] = {}
    progress = begin(plan)
    for event in as_they_stand(tuple(events)):
        if isinstance(event, ToolTaken):
            serials[event.tool.id] = event.tool.serial
        followed = follow(plan, progress, event)
        progress = followed.progress
        for act in followed.acts:
            if act.used and act.tool is not None:
                days = found.setdefault((act.tool, serials.get(act.tool)), {})
                days[act.at[:10]] = days.get(act.at[:10], 0) + 1
    return found
