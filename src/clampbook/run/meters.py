"""The meters of the equipment as a run has them: what each showed, as it was answered last."""

from __future__ import annotations

from collections.abc import Iterable

from clampbook.run import events as e
from clampbook.run.plan import Plan
from clampbook.run.use import Meter, answered_last


def meters_of(plan: Plan, events: Iterable[e.Event]) -> tuple[Meter, ...]:
    """Give what each meter that the plan asks for showed; none that was left out."""
    asked = {f"ask:{ask.name}": ask.name for ask in plan.asks if ask.searched_as == "usage"}
    return answered_last(
        (asked[event.item], event.value, event.unit)
        for event in events
        if isinstance(event, e.Asked | e.Corrected) and event.item in asked
    )
