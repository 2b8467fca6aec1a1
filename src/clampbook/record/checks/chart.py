"""The chart of a series: each pull's deviation against the band that is allowed, in the order of the pulls."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby

from clampbook.record.pages.blocks import Band, Chart, Look, Marks, Point, Tick
from clampbook.record.pages.telling import Row, signed

_AROUND = 0.6  # of the band's width, shown above and below it
_EDGE = 0.04  # of the height, where what lies beyond the chart stands
_MOST_DRAWN = 2000  # pulls; of more, evenly chosen ones are drawn, and the worst two always
_MOST_NAMED = 12  # numbers beside what lies beyond the chart


def chart(rows: Sequence[Row], permissible: str) -> Chart | None:
    """The chart of the readings that have a deviation; None where none has. Void and corrected ones are hollow."""
    pulled = [row for row in rows if row.get("deviation_percent") is not None]
    if not pulled:
        return None
    limit = float(permissible)
    high = limit * (1 + 2 * _AROUND)
    drawn = _chosen(pulled)
    marks: dict[tuple[Look, bool], list[Point]] = {}
    beyond: list[tuple[float, float, str]] = []
    for at, row in drawn:
        value = float(row["deviation_percent"])
        x, y = round((at + 0.5) / len(pulled), 5), _height(value, high)
        past = row["standing"] != "counts"
        marks.setdefault((_look(value, limit), past), []).append((x, y))
        if abs(value) > high and not past and len(beyond) < _MOST_NAMED:
            beyond.append((x, y, signed(f"{value:+.1f} %")))
    return Chart(
        unit="%",
        bands=(Band(0.0, 1.0, _height(limit, high), _height(-limit, high)),),
        target=_height(0.0, high),
        marks=tuple(
            Marks(look, past, tuple(points))
            for (look, past), points in sorted(marks.items(), key=lambda m: not m[0][1])
        ),
        beyond=tuple(beyond),
        across=tuple(_across(pulled)),
        upwards=tuple(
            Tick(_height(end, high), f"{sign}{permissible}\u00a0%") for sign, end in (("+", limit), ("−", -limit))
        ),
    )


def _look(value: float, limit: float) -> Look:
    return "over" if value > limit else "under" if value < -limit else "within"


def _height(value: float, high: float) -> float:
    """The share of the height from above; what lies beyond stands at the edge."""
    return round(min(max((high - value) / (2 * high), _EDGE), 1 - _EDGE), 5)


def _chosen(rows: Sequence[Row]) -> list[tuple[int, Row]]:
    numbered = list(enumerate(rows))
    if len(rows) <= _MOST_DRAWN:
        return numbered
    every = -(-len(rows) // _MOST_DRAWN)
    worst = sorted(numbered, key=lambda each: abs(float(each[1]["deviation_percent"])))[-2:]
    return sorted(dict([*numbered[::every], *worst]).items())


def _across(rows: Sequence[Row]) -> list[Tick]:
    """The points along the bottom, each in the middle of its pulls."""
    found, begin = [], 0
    for point, same in groupby(rows, key=lambda row: row["point"]):
        count = len(list(same))
        found.append(Tick(round((begin + count / 2) / len(rows), 5), str(point)))
        begin += count
    return found if len(found) <= _MOST_NAMED else []
