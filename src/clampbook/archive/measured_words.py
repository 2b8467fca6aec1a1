"""A run chart of measured values in plain text, and what it shows in sentences."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from decimal import Decimal
from math import ceil, floor, log10
from typing import Any

from clampbook.archive.measured import Measured, OtherKind, Value
from clampbook.archive.run_chart import LABEL, LEVEL, RUNNING, Drawing, Scale, lines, mark
from clampbook.archive.trend import REACH
from clampbook.archive.trend_words import ENOUGH, ROOM, SHOWN_OF_ALL, at_the_edge, head, in_a_row
from clampbook.run.told.marks import MARKS
from clampbook.text import quoted
from clampbook.units import behind, kind_of, plain, show, show_day, show_window, with_article

_MOST_NAMED = 12
_ROWS = 12  # between the edges of the chart, by which their numbers get their digits


def scale_of(found: Measured) -> Scale:
    """Give what the chart shows: the window, and all values but the few that lie farthest from the median."""
    nearest = sorted((value.value for value in found.values), key=lambda value: abs(value - found.median))
    inside = [float(value) for value in (*nearest[: ceil(SHOWN_OF_ALL * len(nearest))], *found.ends)]
    low, high = min(inside), max(inside)
    room = (ROOM - 1) / 2 * ((high - low) or abs(high) or 1.0)
    return Scale(low - room, high + room)


def edges(scale: Scale) -> tuple[str, str]:
    """The numbers at the lower and the upper edge, as fine as the chart is."""
    digits = max(0, -floor(log10((scale.high - scale.low) / _ROWS)))
    return bare(Decimal(f"{scale.low:.{digits}f}")), bare(Decimal(f"{scale.high:.{digits}f}"))


def bare(value: Decimal) -> str:
    """A number without its unit, with the sign that a printed page has."""
    return plain(value).replace("-", "−")


def drawn(found: Measured) -> Iterator[str]:
    """The chart line by line: values from left to right as they came, the running median and the window behind."""
    scale = scale_of(found)
    return lines(
        Drawing(
            values=[float(value.value) for value in found.values],
            running=[float(value) for value in found.running],
            signs=[mark(value.outcome) for value in found.values],
            scale=scale,
            levels=[(float(end), bare(end)) for end in found.ends],
            edges=edges(scale),
            days=(found.values[0].at[:10], found.latest.at[:10]),
        )
    )


def heading(found: Measured) -> str:
    """Tell what is charted."""
    unit = behind(found.latest.unit)
    return f"Measured values{f' in{unit}' if unit else ''}, in the order of the work"


def sentences(found: Measured) -> Iterator[str]:
    """Say in words what the chart shows."""
    unit, first, latest = found.latest.unit, found.values[0], found.latest
    if len(found.whats) > 1:
        yield f"In this chart: {', '.join(found.whats)}."
    if len(found.values) > 1:
        yield (
            f"First {show(first.value, unit)} on {show_day(first.at)}, "
            f"latest {show(latest.value, unit)} on {show_day(latest.at)}."
        )
    yield (
        f"Median {show(found.median, unit)}. "
        f"The middle half of the readings lies within {show(found.middle_half.normalize(), unit)}."
    )
    if found.ends:
        yield f"Window of the latest: {show_window(latest.low, latest.high, unit)}."
    scale = scale_of(found)
    if farther := [value.value for value in found.values if not scale.holds(float(value.value))]:
        farthest = max(farther, key=lambda value: abs(value - found.median))
        yield at_the_edge(len(farther), show(farthest, unit))
    if len(found.values) >= ENOUGH:
        yield f"{_moved(found)}: {show(found.first, unit)} in the first third, {show(found.last, unit)} in the last."
    yield from in_a_row(found.one_side)


def _moved(found: Measured) -> str:
    moved = found.last - found.first
    if not moved:
        return "The median stayed where it was"
    return f"The median went {'up' if moved > 0 else 'down'} by {show(abs(moved), found.latest.unit)}"


def told(name: str, found: Measured) -> Iterator[str]:
    """Everything, line by line, for a terminal."""
    yield head(name, found.values)
    yield f"{heading(found)}:"
    yield ""
    yield from drawn(found)
    yield f"{'':>{LABEL}}  {_legend(found)}"
    yield ""
    yield from sentences(found)


def _legend(found: Measured) -> str:
    """Explain the signs of the chart, of those that are there."""
    words: dict[str, str] = {}
    for value in found.values:
        sign = mark(value.outcome)
        words[sign] = "measured" if sign == MARKS["within"] and not value.is_judged else words.get(sign, value.outcome)
    shown = "   ".join(f"{sign} {word}" for sign, word in words.items())
    window = f"   {LEVEL} window of the latest" if found.ends else ""
    return f"{shown}   {RUNNING} median of {REACH}{window}"


def none_found(name: str, known: Sequence[str]) -> str:
    """Tell that nothing was found, and what could be."""
    if not known:
        return f"{name}: no measured values. No run of this book measured anything by name."
    rest = len(known) - _MOST_NAMED
    more = f" and {rest} more" if rest > 0 else ""
    return f"{name}: no measured values. Measured in this book: {', '.join(known[:_MOST_NAMED])}{more}."


def cannot_share(found: OtherKind) -> str:
    """Tell why there is no chart, and what to do."""
    return (
        f"One chart cannot show {_kind(found.other)} and {_kind(found.latest)}. "
        "Choose one with --procedure, --stage or --since, or type its whole name."
    )


def _kind(value: Value) -> str:
    unit = behind(value.unit).strip()
    return f"{with_article(kind_of(value.unit))}{f' in {unit}' if unit else ''} ({quoted(value.what)}, {value.run})"


def as_data(name: str, found: Measured | None) -> dict[str, Any]:
    """One object; every value in the unit of the latest."""
    if found is None:
        return {"of": name, "count": 0, "readings": []}
    keys = ("median", "middle_half", "first", "last")
    return {
        "of": name,
        "measured": list(found.whats),
        "unit": found.latest.unit,
        "window": [_number(found.latest.low), _number(found.latest.high)],
        "count": len(found.values),
        **{key: _number(getattr(found, key)) for key in keys},
        "longest_on_one_side": found.one_side,
        "readings": [
            {
                "run": value.run,
                "line": value.line,
                "at": value.at,
                "step": value.step,
                "measured": value.what,
                "tool": value.tool,
                "person": value.person,
                "outcome": value.outcome,
                "value": _number(value.value),
                "running_median": _number(running),
            }
            for value, running in zip(found.values, found.running, strict=True)
        ],
    }


def _number(value: Decimal | None) -> float | None:
    return None if value is None else float(value)
