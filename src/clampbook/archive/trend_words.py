"""A run chart in plain text, in our own marks, and what it shows in sentences."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import ceil
from typing import Any

from clampbook.archive.trend import IN_A_ROW, REACH, Point, Trend
from clampbook.record.pages.telling import counted
from clampbook.run.told.marks import MARKS

WIDTH, HEIGHT = 64, 13  # columns and rows of the chart; the middle row is the target
_ENOUGH = 9  # readings from which on a third of them says something
_LEAST_REACH = 1.0  # percent above and below the target that are always shown
_SHOWN_OF_ALL = 0.95  # the share of the readings that the height is made for; others stand at the edge
_ROOM = 1.15
_LABEL = 9  # columns left of the chart
_RUNNING, _TARGET = "─", "┈"
_GRAVE = (" ", _TARGET, _RUNNING, *(MARKS[outcome] for outcome in ("within", "concession", "under", "over")))


def mark(outcome: str) -> str:
    """The mark of a reading, as everywhere."""
    match outcome:
        case "under" | "over":
            return MARKS[outcome]
        case "by concession":
            return MARKS["concession"]
        case _:
            return MARKS["within"]


def reach_of(values: Sequence[float]) -> float:
    """Give how many percent above and below the target the chart shows."""
    sizes = sorted(map(abs, values))
    return max(_LEAST_REACH, _ROOM * sizes[ceil(_SHOWN_OF_ALL * len(sizes)) - 1])


def beyond(found: Trend) -> tuple[float, ...]:
    """The deviations that lie farther out than the chart shows, in percent."""
    values = [point.deviation for point in found.points]
    reach = reach_of(values)
    return tuple(value for value in values if abs(value) > reach)


def drawn(found: Trend, width: int = WIDTH, height: int = HEIGHT) -> Iterator[str]:
    """The chart line by line: readings from left to right as they came, the running median and the target behind."""
    values = [point.deviation for point in found.points]
    reach = reach_of(values)
    columns = min(width, len(values))
    cells = [[" "] * columns for _ in range(height)]
    cells[height // 2] = [_TARGET] * columns

    def put(number: int, value: float, sign: str) -> None:
        row = round((reach - value) / (2 * reach) * (height - 1))
        cell, at = cells[min(max(row, 0), height - 1)], number * columns // len(values)
        if _GRAVE.index(sign) > _GRAVE.index(cell[at]):
            cell[at] = sign

    for number, value in enumerate(found.running):
        put(number, value, _RUNNING)
    for number, point in enumerate(found.points):
        put(number, point.deviation, mark(point.outcome))
    labels = {0: f"{reach:+.1f} %", height // 2: "target", height - 1: signed(-reach)}
    for number, row in enumerate(cells):
        yield f"{labels.get(number, ''):>{_LABEL}} │{''.join(row)}".rstrip()
    yield f"{'':>{_LABEL}} └{_days(found.points, columns)}"


def _days(points: Sequence[Point], columns: int) -> str:
    first, last = points[0].at[:10], points[-1].at[:10]
    if first == last or columns < 2 * len(first) + 2:
        return first if first == last else f"{first} to {last}"
    return f"{first}{last:>{columns - len(first)}}"


def sentences(found: Trend) -> Iterator[str]:
    """Say in words what the chart shows."""
    yield (
        f"Median {signed(found.median)} off target. "
        f"The middle half of the readings lies within {found.middle_half:.1f} %."
    )
    if farther := beyond(found):
        lies = "reading is beyond the chart, drawn" if len(farther) == 1 else "readings are beyond the chart, drawn"
        yield f"{len(farther)} {lies} at its edge, the farthest at {signed(max(farther, key=abs))}."
    if len(found.points) >= _ENOUGH:
        yield f"{_moved(found)}: {signed(found.first)} in the first third, {signed(found.last)} in the last."
    if found.one_side >= IN_A_ROW:
        yield (
            f"{found.one_side} in a row lie on one side of the median. "
            f"By chance, {IN_A_ROW} do in 1 of {2 ** (IN_A_ROW - 1)}."
        )
    if found.seconds is not None:
        yield _paced(found)


def _moved(found: Trend) -> str:
    if abs(found.moved) < 0.05:
        return "The median stayed where it was"
    return f"The median went {'up' if found.moved > 0 else 'down'} by {abs(found.moved):.1f} %"


def _paced(found: Trend) -> str:
    thirds = ""
    if len(found.points) >= _ENOUGH and found.first_seconds is not None and found.last_seconds is not None:
        thirds = f", {found.first_seconds:.0f} s in the first third, {found.last_seconds:.0f} s in the last"
    return f"{found.seconds:.0f} s from one pull to the next (median){thirds}."


def head(name: str, found: Trend) -> str:
    """Tell whose readings, how many, from when to when."""
    runs = len({point.run for point in found.points})
    days = " to ".join(dict.fromkeys((found.points[0].at[:10], found.points[-1].at[:10])))
    return f"{name}: {counted(len(found.points), 'reading')} in {counted(runs, 'run')}, {days}"


def legend(found: Trend) -> str:
    """Explain the signs of the chart, of those that are there."""
    marks = dict.fromkeys((mark(point.outcome), point.outcome) for point in found.points)
    told = {sign: "within" if sign == MARKS["within"] else word for sign, word in marks}
    shown = "   ".join(f"{sign} {word}" for sign, word in told.items())
    return f"{shown}   {_RUNNING} median of {REACH}   {_TARGET} target"


def told(name: str, found: Trend) -> Iterator[str]:
    """Everything, line by line, for a terminal."""
    yield head(name, found)
    yield "Deviation from the target in percent, in the order of the pulls:"
    yield ""
    yield from drawn(found)
    yield f"{'':>{_LABEL}}  {legend(found)}"
    yield ""
    yield from sentences(found)


def signed(percent: float) -> str:
    """A deviation with its sign."""
    return f"{percent:+.1f} %".replace("-", "−") if abs(percent) >= 0.05 else "0.0 %"


def as_data(name: str, found: Trend | None) -> dict[str, Any]:
    """One object; deviations in percent, times in seconds."""
    if found is None:
        return {"of": name, "count": 0, "readings": []}
    keys = ("median", "middle_half", "first", "last", "seconds", "first_seconds", "last_seconds")
    return {
        "of": name,
        "count": len(found.points),
        **{key: _rounded(getattr(found, key)) for key in keys},
        "longest_on_one_side": found.one_side,
        "readings": [
            {
                "run": point.run,
                "line": point.line,
                "at": point.at,
                "tool": point.tool,
                "person": point.person,
                "outcome": point.outcome,
                "deviation": _rounded(point.deviation),
                "running_median": _rounded(running),
                "seconds": _rounded(point.seconds),
            }
            for point, running in zip(found.points, found.running, strict=True)
        ],
    }


def _rounded(value: float | None) -> float | None:
    return None if value is None else round(value, 4)
