"""The slots at which no torque was read: whatever limit the procedure sets there, nothing was held against it."""

from __future__ import annotations

from collections.abc import Iterator

from clampbook.record.frozen import Frozen
from clampbook.record.history import History
from clampbook.record.tables import Row
from clampbook.run.events import Aligned
from clampbook.run.progress import standing


def without_torque(run: Frozen, history: History) -> list[Row]:
    """One row for each stage and limit, with its positions in the order of the plan."""
    found: dict[tuple[int, str | None, str | None], list[str]] = {}
    for event, position in _unread(run, history):
        step = run.step(event, event.step)
        found.setdefault((step.stage, step.group, event.at_most), []).append(position)
    return [
        {
            "stage": stage,
            "group": group,
            "positions": positions,
            "limit": limit,
            "limit_unit": None if limit is None else run.plan.unit,
        }
        for (stage, group, limit), positions in found.items()
    ]


def _unread(run: Frozen, history: History) -> Iterator[tuple[Aligned, str]]:
    """The last word on each slot that counts, where a nut was turned on to it, or tried, and no tool showed how far."""
    kept = {act.line for act in history.acts if act.counts}
    read = {act.step for act in history.acts if act.kind == "final torque" and act.counts}
    latest = {event.step: event for event in run.events if isinstance(event, Aligned) and event.seq in kept}
    for step in run.plan.steps:
        event = latest.get(step.id)
        if event is None or step.position is None or step.id in read:
            continue
        still_to_read = event.reads and standing(history.progress, step.position).awaiting == "final torque"
        watched = event.slot == "not" and event.reads
        if event.slot != "already" and not still_to_read and not watched:
            yield event, step.position
