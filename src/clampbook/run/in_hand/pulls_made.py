"""The pulls of each tool in a run, day by day: what counts towards its interval by pulls."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from clampbook.run.events import Event, ToolTaken
from clampbook.run.fold.apply import begin
from clampbook.run.fold.follow import follow
from clampbook.run.fold.taking_back import as_they_stand
from clampbook.run.plan import Plan

Pulls = dict[str, dict[str, int]]
"""Tool, then day (ISO 8601), then how many pulls."""

Pulled = dict[tuple[str, str | None], dict[str, int]]
"""The same of tools by id and serial number, None where they have none."""


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


def since(pulls_by_day: Mapping[str, int], day: str | None, until: str | None = None) -> int:
    """Count those that were made from a day on, until another; all of them where there is none."""
    days = (on for on in pulls_by_day if (day is None or on >= day) and (until is None or on <= until))
    return sum(pulls_by_day[on] for on in days)


def summed(*parts: Pulls) -> Pulls:
    """All of them together."""
    total: Pulls = {}
    for part in parts:
        for tool, days in part.items():
            known = total.setdefault(tool, {})
            for day, count in days.items():
                known[day] = known.get(day, 0) + count
    return total
