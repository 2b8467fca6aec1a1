"""Every reading of a check as a row, also those that count no more, in the order in which they were taken."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from clampbook.check import events as e
from clampbook.check.deciding import rounded
from clampbook.check.deviation import deviation, deviations
from clampbook.check.from_file import place_of_each
from clampbook.check.outlying import far_among, far_lines
from clampbook.check.plan import CheckPlan
from clampbook.check.readings import Readings
from clampbook.record.checks.frozen import FrozenCheck
from clampbook.record.checks.moments import written
from clampbook.record.tables import Row
from clampbook.units import plain

COUNTS, VOID, CORRECTED = "counts", "void", "corrected"


def readings(check: FrozenCheck) -> Iterator[Row]:
    """Rows with both sides in the tool's unit; a deviation is worked out again, never copied."""
    if check.readings is not None:
        yield from _of_file(check.plan, check.readings)
        return
    voided = {event.of: event.seq for event in check.events if isinstance(event, e.Voided)}
    corrected = {event.of: event.seq for event in check.events if isinstance(event, e.Corrected)}
    far = far_lines(check.progress)
    at: dict[int, e.Pulled] = {}
    for event in check.events:
        if isinstance(event, e.Pulled):
            at[event.seq] = event
            standing = VOID if event.seq in voided else CORRECTED if event.seq in corrected else COUNTS
            row = _row(check.plan, event, event, standing)
            yield {**row, **_far(standing == COUNTS and event.seq in far)}
        elif isinstance(event, e.Corrected) and event.of in at:
            first = at[event.of]
            last = corrected[event.of] == event.seq
            standing = VOID if event.of in voided else COUNTS if last else CORRECTED
            row = _row(check.plan, first, event, standing)
            yield {**row, "corrects_line": event.of, "known": event.known, **_far(last and event.of in far)}
        elif isinstance(event, e.Voided):
            about: Row = {"value": event.value} if event.of is None else {"of_line": event.of}
            yield {"line": event.seq, "standing": VOID, "cause": event.cause, **about, **written(event)}


def _far(is_far: bool) -> Row:
    """The key that says so; nothing where a reading is like the others."""
    return {"far_from_others": True} if is_far else {}


def _row(plan: CheckPlan, place: e.Pulled, said: e.Pulled | e.Corrected, standing: str) -> Row:
    way = plan.series[place.series]
    off = deviation(Decimal(said.indicated), Decimal(said.reference))
    return {
        "line": said.seq,
        "phase": place.phase,
        "technique": way.technique,
        "direction": way.direction,
        "point": plain(plan.points[place.point].value),
        "typed": said.typed,
        "typed_unit": said.unit,
        "indicated": said.indicated,
        "reference": said.reference,
        "deviation_percent": rounded(off),
        "beyond": abs(off) > plan.permissible,
        "standing": standing,
        "unusual": place.unusual,
        **written(said),
    }


def _of_file(plan: CheckPlan, found: Readings) -> Iterator[Row]:
    direction = {each.technique: each.direction for each in plan.series}
    off = deviations(found.indicated, found.reference)
    places = list(place_of_each(plan, found))
    far = far_among((at, (found.technique[at], place), off[at]) for at, place in enumerate(places))
    for number, place in enumerate(places):
        yield {
            "row": number + 1,
            "phase": plan.phase,
            "technique": found.technique[number],
            "direction": direction[found.technique[number]],
            "point": plain(plan.points[place].value),
            "indicated": plain(found.indicated[number]),
            "reference": plain(found.reference[number]),
            "deviation_percent": rounded(off[number]),
            "beyond": abs(off[number]) > plan.permissible,
            "standing": COUNTS,
            **_far(number in far),
        }
