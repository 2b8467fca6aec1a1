"""A check from a file of readings: its points and series come out of the readings, its verdicts as at the bench."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from datetime import date
from decimal import Decimal
from hashlib import sha256

from clampbook.check.deviation import deviations
from clampbook.check.judging import Judgement, judge
from clampbook.check.plan import CheckPlan, Direction, Phase, Point, Series, Side
from clampbook.check.planning import (
    NoCheck,
    beyond,
    goes_together,
    permitted,
    points_of,
    readings_of,
)
from clampbook.check.readings import Readings, read_readings
from clampbook.ledger.formats import FORMAT
from clampbook.tools.model import Tool
from clampbook.tools.setting import scale
from clampbook.units import show

BEYOND = Decimal("0.1")  # a hand that pulls freely ends a little beyond the last mark; common practice, no source
MOST_OWN_POINTS = 12  # more different torques than this are sorted to the points of the standard


def plan_of_file(
    tool: Tool,
    reference: Tool | None,
    data: bytes,
    path: str,
    *,
    phase: Phase = "as found",
    direction: Direction = "clockwise",
    today: date | None = None,
) -> tuple[CheckPlan, Readings]:
    """The plan that a file's readings amount to, and the readings. Raises Faulty, NoCheck."""
    permissible = permitted(tool)
    goes_together(tool, reference, (direction,))
    readings = read_readings(data, path, tool.unit)
    held = held_side(tool, readings)
    values = sorted(Decimal(text) for text in set(_held(held, readings)))
    _on_its_scale(tool, values)
    _within_the_reference(tool, reference, max(readings.reference))
    points = _points(tool, values)
    series = tuple(Series(technique, direction) for technique in readings.techniques)
    plan = CheckPlan(
        plan=FORMAT,
        tool=tool,
        reference=reference,
        points=points,
        series=series,
        readings=readings_of(tool),
        exercises=0,
        permissible=permissible,
        held=held,
        source="file",
        phase=phase,
        readings_sha256=sha256(data).hexdigest(),
        planned_on=None if today is None else today.isoformat(),
        rows=len(readings),
    )
    return plan, readings


def _on_its_scale(tool: Tool, values: Sequence[Decimal]) -> None:
    """Raises NoCheck for a torque that this tool cannot have been brought to: another tool's file, or another unit."""
    slack = Decimal(0) if tool.kind == "setting" else BEYOND
    low, high = tool.minimum or Decimal(0), tool.maximum
    for value in values:
        if value < low * (1 - slack) or (high is not None and value > high * (1 + slack)):
            raise NoCheck(
                f"{show(value, tool.unit)} lies outside the scale of {tool.name} ({scale(tool)}): "
                "look whether the file is of this tool, and which unit its head names"
            )


def _within_the_reference(tool: Tool, reference: Tool | None, most: Decimal) -> None:
    """Raises NoCheck for a torque that this reference cannot have shown."""
    if reference is not None and beyond(reference, tool, most / (1 + BEYOND)):
        raise NoCheck(
            f"{show(most, tool.unit)} lies outside the scale of {reference.name} ({scale(reference)}): "
            "look whether another reference was used, and which unit the file's head names"
        )


def judge_file(plan: CheckPlan, readings: Readings) -> Judgement:
    """Judge the readings of a file."""
    return judge(plan, by_place(plan, readings))


def by_place(plan: CheckPlan, readings: Readings) -> dict[tuple[int, int], list[Decimal]]:
    """The deviations in percent by series and point, in the order of the file."""
    series = {each.technique: number for number, each in enumerate(plan.series)}
    found: dict[tuple[int, int], list[Decimal]] = {}
    lists: dict[tuple[str, int], list[Decimal]] = {}
    for label, number in series.items():
        for point in range(len(plan.points)):
            lists[label, point] = found[number, point] = []
    off = deviations(readings.indicated, readings.reference)
    for place, each in zip(zip(readings.technique, place_of_each(plan, readings), strict=True), off, strict=True):
        lists[place].append(each)
    return {place: values for place, values in found.items() if values}


def place_of_each(plan: CheckPlan, readings: Readings) -> list[int]:
    """The place of each reading's point in the plan, from 0."""
    held = _held(plan.held, readings)
    nearest = _Nearest([point.value for point in plan.points])
    known = {text: nearest.place(Decimal(text)) for text in set(held)}
    return [known[text] for text in held]


def held_side(tool: Tool, readings: Readings) -> Side:
    """Name the side that was brought to the point: what a setting tool is set to; else the side that varies less."""
    if tool.kind == "setting":
        return "indicated"
    return "reference" if len(set(readings.reference_text)) < len(set(readings.indicated_text)) else "indicated"


def _held(side: Side, readings: Readings) -> tuple[str, ...]:
    """The numbers of the side that was brought to the points, as text."""
    return readings.indicated_text if side == "indicated" else readings.reference_text


def _points(tool: Tool, held: Sequence[Decimal]) -> tuple[Point, ...]:
    """The torques that were held, where they are few; else those points of the standard that have readings."""
    values = sorted(set(held))
    if len(values) <= MOST_OWN_POINTS:
        return tuple(Point(value, _share(tool, value)) for value in values)
    standard = points_of(tool)
    nearest = _Nearest([point.value for point in standard])
    used = {nearest.place(value) for value in values}
    return tuple(point for place, point in enumerate(standard) if place in used)


def _share(tool: Tool, value: Decimal) -> Decimal | None:
    """In percent of the maximum, where that is a whole number."""
    share = value * 100 / tool.maximum if tool.maximum else None
    return share.to_integral_value() if share is not None and share == share.to_integral_value() else None


class _Nearest:
    """Places of values by the nearest of some points, which rise."""

    def __init__(self, points: Sequence[Decimal]) -> None:
        self._points = points

    def place(self, value: Decimal) -> int:
        """The place of the nearest point, the lower of two that are equally near."""
        above = bisect_left(self._points, value)
        if above == 0:
            return 0
        if above == len(self._points):
            return above - 1
        below = above - 1
        return below if value - self._points[below] <= self._points[above] - value else above
