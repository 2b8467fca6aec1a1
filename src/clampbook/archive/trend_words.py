"""A run chart of readings against their targets in plain text, and what it shows in sentences."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import ceil
from typing import Any

from clampbook.archive.measured import Value
from clampbook.archive.run_chart import LABEL, LEVEL, RUNNING, Drawing, Scale, lines, mark
from clampbook.archive.trend import IN_A_ROW, REACH, Point, Trend
from clampbook.run.told.marks import MARKS
from clampbook.text import counted

ENOUGH = 9  # readings from which on a third of them says something
_LEAST_REACH = 1.0  # percent above and below the target that are always shown
SHOWN_OF_ALL = 0.95  # the share of the readings that the height is made for; others stand at the edge
ROOM = 1.15


def reach_of(values: Sequence[float]) -> float:
    """Give how many percent above and below the target the chart shows."""
    sizes = sorted(map(abs, values))
    return max(_LEAST_REACH, ROOM * sizes[ceil(SHOWN_OF_ALL * len(sizes)) - 1])


def beyond(found: Trend) -> tuple[float, ...]:
    """The deviations that lie farther out than the chart shows, in percent."""
    values = [point.deviation for point in found.points]
    reach = reach_of(values)
    return tuple(value for value in values if abs(value) > reach)


def drawn(found: Trend) -> Iterator[str]:
    """The chart line by line: readings from left to right as they came, the running median and the target behind."""
    values = [point.deviation for point in found.points]
    reach = reach_of(values)
    yield from lines(
        Drawing(
            values=values,
            running=found.running,
            signs=[mark(point.outcome) for point in found.points],
            scale=Scale(-reach, reach),
            levels=((0.0, "target"),),
            edges=(signed(-reach), signed(reach)),
            days=(found.points[0].at[:10], found.points[-1].at[:10]),
        )
    )


def sentences(found: Trend) -> Iterator[str]:
    """Say in words what the chart shows."""
    yield (
        f"Median {signed(found.median)} off target. "
        f"The middle half of the readings lies within {found.middle_half:.1f} %."
    )
    if farther := beyond(found):
        yield at_the_edge(len(farther), signed(max(farther, key=abs)))
    if len(found.points) >= ENOUGH:
        yield f"{_moved(found)}: {signed(found.first)} in the first third, {signed(found.last)} in the last."
    yield from in_a_row(found.one_side)
    if found.seconds is not None:
        yield _paced(found)


def at_the_edge(count: int, farthest: str) -> str:
    """Tell that the chart is too low for some."""
    lies = "reading is beyond the chart, drawn" if count == 1 else "readings are beyond the chart, drawn"
    return f"{count} {lies} at its edge, the farthest at {farthest}."


def in_a_row(one_side: int) -> Iterator[str]:
    """Tell of a stretch on one side of the median that is too long for chance."""
    if one_side >= IN_A_ROW:
        chance = 2 ** (IN_A_ROW - 1)
        yield f"{one_side} in a row lie on one side of the median. By chance, {IN_A_ROW} do in 1 of {chance}."


def _moved(found: Trend) -> str:
    if abs(found.moved) < 0.05:
        return "The median stayed where it was"
    return f"The median went {'up' if found.moved > 0 else 'down'} by {abs(found.moved):.1f} %"


def _paced(found: Trend) -> str:
    thirds = ""
    if len(found.points) >= ENOUGH and found.first_seconds is not None and found.last_seconds is not None:
        thirds = f", {found.first_seconds:.0f} s in the first third, {found.last_seconds:.0f} s in the last"
    return f"{found.seconds:.0f} s from one pull to the next (median){thirds}."


def head(name: str, points: Sequence[Point] | Sequence[Value]) -> str:
    """Tell whose readings, how many, from when to when."""
    runs = len({point.run for point in points})
    days = " to ".join(dict.fromkeys((points[0].at[:10], points[-1].at[:10])))
    return f"{name}: {counted(len(points), 'reading')} in {counted(runs, 'run')}, {days}"


def legend(found: Trend) -> str:
    """Explain the signs of the chart, of those that are there."""
    marks = dict.fromkeys((mark(point.outcome), point.outcome) for point in found.points)
    told = {sign: "within" if sign == MARKS["within"] else word for sign, word in marks}
    shown = "   ".join(f"{sign} {word}" for sign, word in told.items())
    return f"{shown}   {RUNNING} median of {REACH}   {LEVEL} target"


def told(name: str, found: Trend) -> Iterator[str]:
    """Everything, line by line, for a terminal."""
    yield head(name, found.points)
    yield "Deviation from the target in percent, in the order of the pulls:"
    yield ""
    yield from drawn(found)
    yield f"{'':>{LABEL}}  {legend(found)}"
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
