"""A run chart of measured values on paper: what it shows in sentences, the chart, and every run that is in it."""

from __future__ import annotations

import statistics
from collections.abc import Iterator, Sequence
from datetime import datetime
from decimal import Decimal
from itertools import groupby

from clampbook.archive.measured import Measured, Value
from clampbook.archive.measured_words import edges, heading, scale_of, sentences
from clampbook.archive.run_chart import Scale
from clampbook.archive.trend import REACH
from clampbook.archive.trend_pages import EDGE, LOOKS, MOST_DRAWN, MOST_ROWS, across, days, set_as_pages
from clampbook.archive.trend_words import head
from clampbook.figures import show_exactly
from clampbook.record.pages.blocks import Band, Block, Chart, Heading, Look, Marks, Sentences, Table, Tick, Title
from clampbook.record.pages.blocks import Point as Place
from clampbook.record.report import Paper
from clampbook.units import behind, show

_REST = (
    "What is charted is each measured value that counts, in the order of the work, at equal distances (a run chart, "
    f"ISO 7870-1). The line is the running median of {REACH} readings, the band the window of the latest reading. "
    "Values in other units are converted. A reading says what the tool showed, not what was true."
)
_APART = 0.08  # of the height: labels that stand nearer cover each other


def pdf(name: str, found: Measured, *, made: datetime, log_head: str, paper: Paper = "a4") -> bytes:
    """The run chart as PDF/A; `log_head` is the hash of the last line of the book's log when it was made.

    Raises RecordFault where the pages cannot be set.
    """
    return set_as_pages(name, tuple(_blocks(name, found)), made=made, log_head=log_head, paper=paper)


def _blocks(name: str, found: Measured) -> Iterator[Block]:
    what, _, order = heading(found).partition(", ")
    yield Title(
        kind="Run chart of measured values",
        title=name,
        unit="",
        outcome=f"{head(name, found.values).removeprefix(f'{name}: ')}.",
        ended="",
        notices=(),
    )
    yield Sentences(tuple(sentences(found)))
    yield Heading(what, order)
    yield chart(found)
    yield Sentences((_REST,), quiet=True)
    yield Heading("The runs in it")
    yield Table(
        head=("Run", "From", "Readings", "Median", "Least", "Most"),
        widths=(1, 0, 0, 0, 0, 0),
        rows=tuple(_rows(found.values)),
    )


def chart(found: Measured) -> Chart:
    """The chart in shares of its width and height."""
    scale = scale_of(found)
    count = len(found.values)
    every = max(1, -(-count // MOST_DRAWN))
    marks: dict[Look, list[Place]] = {}
    for number, value in enumerate(found.values):
        look = LOOKS.get(value.outcome, "within")
        if look != "within" or number % every == 0:
            marks.setdefault(look, []).append((across(number, count), _height(value.value, scale)))
    return Chart(
        unit=behind(found.latest.unit).strip(),
        bands=tuple(_bands(found.latest, scale)),
        target=None,
        marks=tuple(Marks(look, False, tuple(places)) for look, places in sorted(marks.items(), reverse=True)),
        beyond=(),
        across=tuple(days(found.values[0].at, found.latest.at)),
        upwards=tuple(_upwards(found, scale)),
        line=tuple(
            (across(number, count), _height(value, scale))
            for number, value in enumerate(found.running)
            if number % every == 0 or number == count - 1
        ),
    )


def _height(value: float | Decimal, scale: Scale) -> float:
    return round(min(max(scale.share(float(value)), EDGE), 1 - EDGE), 5)


def _bands(latest: Value, scale: Scale) -> Iterator[Band]:
    if latest.is_judged:
        top = 0.0 if latest.high is None else _height(latest.high, scale)
        bottom = 1.0 if latest.low is None else _height(latest.low, scale)
        yield Band(0.0, 1.0, top, bottom)


def _upwards(found: Measured, scale: Scale) -> Iterator[Tick]:
    """The ends of the window, and the edges where there is room beside them."""
    ends = [Tick(_height(end, scale), show_exactly(end, found.latest.unit)) for end in found.ends]
    yield from ends
    unit = behind(found.latest.unit)
    for at, number in zip((1 - EDGE, EDGE), edges(scale), strict=True):
        if all(abs(at - end.at) >= _APART for end in ends):
            yield Tick(at, f"{number}{unit}")


def _rows(values: Sequence[Value]) -> Iterator[tuple[str, ...]]:
    in_runs = [list(some) for _, some in groupby(values, key=lambda value: value.run)]
    for some in in_runs[-MOST_ROWS:]:
        numbers = [value.value for value in some]
        told = (show(each, some[0].unit) for each in (statistics.median(numbers), min(numbers), max(numbers)))
        yield (some[0].run, some[0].at[:10], str(len(some)), *told)
