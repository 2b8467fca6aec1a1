"""The meters of the equipment as a run has them: what each showed, as it was answered last."""

from __future__ import annotations

from collections.abc import Iterable

from clampbook.run import events as e
from clampbook.run.plan import Plan
from clampbook.run.use import Meter


def meters_of(plan: Plan, events: Iterable[e.Event]) -> tuple[Meter, ...]:
    """Give what each meter that the plan asks for showed, in the order of the plan; none that was left out."""
    asked = {f"ask:{ask.name}": ask.name for ask in plan.asks if ask.searched_as == "usage"}
    found: dict[str, Meter] = {}
    for event in events:
        match event:
            case e.Asked(item=item, value=value) | e.Corrected(item=str() as item, value=value) if item in asked:
                found.pop(item, None)
                if value is not None:
                    found[item] = Meter(asked[item], value, event.unit or "")
            case _:
                continue
    return tuple(found[item] for item in asked if item in found)
