"""Every reading of a check reckoned once more: what was typed must still give both sides and the deviation it gave."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from clampbook import units
from clampbook.check import events as e
from clampbook.check.deciding import rounded
from clampbook.check.deviation import deviation
from clampbook.check.plan import CheckPlan, Point
from clampbook.check.planning import held_at
from clampbook.units import Kind, UnitFault
from clampbook.work.daybook import MISFIT, OUT_OF_PLACE


def recounted(plan: CheckPlan, events: Sequence[e.Event]) -> Iterator[tuple[int, str]]:
    """A line's number and a sentence for each reading that holds another figure than what was typed gives."""
    point_of: dict[int, int] = {}
    for event in events:
        if not isinstance(event, e.Pulled | e.Corrected):
            continue
        try:
            point_of[event.seq] = event.point if isinstance(event, e.Pulled) else point_of[event.of]
            made = _figures(plan, event, plan.points[point_of[event.seq]])
        except (*MISFIT, UnitFault):
            yield event.seq, OUT_OF_PLACE
            continue
        for name, figure in made.items():
            if getattr(event, name) != figure:
                yield event.seq, f"{name} is {getattr(event, name)}, but what was typed gives {figure}"


def _figures(plan: CheckPlan, event: e.Pulled | e.Corrected, point: Point) -> dict[str, str]:
    read = units.parse(event.typed, Kind.TORQUE, unit=event.unit)
    typed = units.convert(read.value, read.unit, plan.tool.unit)
    held = units.convert(*held_at(plan, point), plan.tool.unit)
    indicated, reference = (held, typed) if plan.held == "indicated" else (typed, held)
    return {
        "indicated": units.plain(indicated),
        "reference": units.plain(reference),
        "deviation": rounded(deviation(indicated, reference)),
    }
