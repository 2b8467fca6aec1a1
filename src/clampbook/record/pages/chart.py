"""The chart of readings against their window, in shares of its width and height; clicks never come into it."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from itertools import groupby

from clampbook.procedure.naming import own
from clampbook.record.pages.blocks import Band, Chart, Look, Marks, Point, Tick
from clampbook.record.pages.marks import look
from clampbook.record.pages.telling import Row, number, quantity

_MOST_LABELS = 36
_AROUND = 0.6  # of the window's width, shown above and below it
_BELOW_NOTHING = 0.08  # of the chart's height
_ASIDE = 0.022  # of the chart's width, from a reading that stands to one before it
_SHARE = 5  # decimals of a share
_COUNTS = "counts"


def value_of(row: Row) -> str | None:
    """Give what a reading showed, as it is judged; None for a click, a turn by the mark, a bad pull."""
    found: str | None = row.get("sum") or row.get("at_fastener") or row.get("result")
    return found


def chart(rows: Sequence[Row], order: Sequence[str], target: str | None) -> Chart | None:
    """The chart of one round; None where there is no reading with a window.

    `rows` are all readings of it, also those that do not count any more; `order` names what stands from left to right.
    """
    charted = [row for row in rows if value_of(row) is not None and _closed_or_open(row) and look(row) is not None]
    if not charted:
        return None
    if len({(row.get("window_from"), row.get("window_to")) for row in charted}) > 1:
        target = None  # the target moved with the window, as prevailing torque moves both
    places = {name: index for index, name in enumerate(order)}
    charted = [row for row in charted if place(row) in places]
    scale = _Scale(charted, target)
    marks: dict[tuple[Look, bool], list[Point]] = {}
    beyond: list[tuple[float, float, str]] = []
    for row in charted:
        y, off = scale.of(float(value_of(row) or 0))
        past = row["standing"] != _COUNTS
        aside = min(_ASIDE, 0.3 / len(order)) if past else 0.0  # or the one that stands would cover it
        x = _share((places[place(row)] + 0.5) / len(order) - aside)
        marks.setdefault((look(row) or "within", past), []).append((x, y))
        if off and not past:
            beyond.append((x, y, number(value_of(row) or "", row.get("window_from"), row.get("window_to"))))
    return Chart(
        unit=charted[0]["judged_unit"],
        bands=tuple(_bands(charted, places, scale)),
        target=None if target is None else scale.of(float(target))[0],
        marks=tuple(
            Marks(kind, past, tuple(points))
            for (kind, past), points in sorted(marks.items(), key=lambda m: not m[0][1])
        ),
        beyond=tuple(beyond),
        across=tuple(_across(order)),
        upwards=tuple(_upwards(charted, scale)),
    )


def place(row: Row) -> str:
    """Name the place of a reading in the chart and in the table: position, point, or both."""
    at, point = own(row["position"]) if row.get("position") is not None else None, row.get("point")
    if at is not None and point is not None:
        return f"{at} {point}"
    return str(at if at is not None else point if point is not None else "–")


def _closed_or_open(row: Row) -> bool:
    return row.get("window_from") is not None or row.get("window_to") is not None


class _Scale:
    """From a value to its height: the windows and some room around them; what lies beyond stands at the edge."""

    def __init__(self, rows: Sequence[Row], target: str | None) -> None:
        ends = [float(row[key]) for row in rows for key in ("window_from", "window_to") if row.get(key) is not None]
        values = [float(value_of(row) or 0) for row in rows if row["standing"] == _COUNTS]
        ends += [] if target is None else [float(target)]
        one_sided = any(row.get(key) is None for row in rows for key in ("window_from", "window_to"))
        inside = [*ends, *values] if one_sided else ends
        wide = max(inside) - min(inside) or abs(max(inside)) or 1.0
        self.low, self.high = min(ends) - _AROUND * wide, max(ends) + _AROUND * wide
        if one_sided:
            self.low, self.high = min(self.low, min(inside)), max(self.high, max(inside))
        if all(row.get("window_from") is None for row in rows) and target is None and min(inside) >= 0:
            self.low = -_BELOW_NOTHING * self.high  # a gap of nothing is the least there is, and has room for its dot

    def of(self, value: float) -> tuple[float, bool]:
        """The share of the height from above, and whether the value lies beyond the chart."""
        share = (self.high - value) / (self.high - self.low)
        return _share(min(max(share, 0.04), 0.96)), not 0 <= share <= 1


def _bands(rows: Sequence[Row], places: dict[str, int], scale: _Scale) -> list[Band]:
    """One band for each stretch of neighbours with the same window."""
    windows = {places[place(row)]: (row.get("window_from"), row.get("window_to")) for row in rows}
    known = [windows.get(index) for index in range(len(places))]
    first = next(window for window in known if window is not None)
    filled: list[tuple[str | None, str | None]] = []
    for window in known:  # a position without a reading has the window of the one before
        filled.append(window if window is not None else filled[-1] if filled else first)
    found, begin = [], 0
    for (low, high), same in groupby(filled):
        end = begin + len(list(same))
        top = 0.0 if high is None else scale.of(float(high))[0]
        bottom = 1.0 if low is None else scale.of(float(low))[0]
        found.append(Band(_share(begin / len(filled)), _share(end / len(filled)), top, bottom))
        begin = end
    return found


def _across(order: Sequence[str]) -> list[Tick]:
    """The places along the bottom, each if there is room, else every so many."""
    longest = max(map(len, order))
    room = max(1, min(_MOST_LABELS, 90 // (longest + 1)))
    every = -(-len(order) // room)
    return [Tick(_share((index + 0.5) / len(order)), name) for index, name in enumerate(order) if index % every == 0]


def _upwards(rows: Sequence[Row], scale: _Scale) -> list[Tick]:
    """The ends of the window; of several windows the lowest and the highest end."""
    found = []
    for key, outermost in (("window_from", min), ("window_to", max)):
        ends = [row[key] for row in rows if row.get(key) is not None]
        if ends:
            end = outermost(ends, key=Decimal)
            found.append(Tick(scale.of(float(end))[0], quantity(number(end), rows[0]["judged_unit"])))
    return found


def _share(value: float) -> float:
    return round(value, _SHARE)
