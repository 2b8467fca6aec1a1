"""A run chart on paper: what it shows in sentences, the chart, and every run that is in it."""

from __future__ import annotations

import statistics
from collections.abc import Iterator, Sequence
from datetime import UTC, datetime
from itertools import groupby

from clampbook.archive.trend import REACH, Point, Trend
from clampbook.archive.trend_words import head, reach_of, sentences, signed
from clampbook.record.pages.blocks import Block, Chart, Heading, Look, Marks, Pages, Sentences, Table, Tick, Title
from clampbook.record.pages.blocks import Point as Place
from clampbook.record.pages.pages import encoded
from clampbook.record.pages.proof import grouped
from clampbook.record.report import Paper, typeset

_MOST_DRAWN = 4000  # marks; of more readings every so manieth is drawn, and those outside always
_MOST_ROWS = 120  # runs in the table, the latest ones
_EDGE = 0.04  # of the height, where what lies beyond the chart stands
_REST = (
    "What is charted is the deviation of each reading from its target in percent, in the order of the pulls, at equal "
    f"distances (a run chart, ISO 7870-1). The line is the running median of {REACH} readings. Clicks of a setting "
    "tool have no number and are not in it. A reading says what the tool showed, not what was true."
)
_LOOKS: dict[str, Look] = {"under": "under", "over": "over", "by concession": "concession"}


def pdf(name: str, found: Trend, *, made: datetime, log_head: str, paper: Paper = "a4") -> bytes:
    """The run chart as PDF/A; `log_head` is the hash of the last line of the book's log when it was made.

    Raises RecordFault where the pages cannot be set.
    """
    at = made.astimezone(UTC)
    pages = Pages(
        title=f"Run chart of {name}",
        run=f"{name}, looked through on {made:%Y-%m-%d}",
        fingerprint=grouped(log_head[:16]),
        made=(at.year, at.month, at.day, at.hour, at.minute, at.second),
        blocks=tuple(_blocks(name, found)),
        attached=(),
        anchor="Last line of the book’s log",
    )
    return typeset(encoded(pages), {}, paper)


def _blocks(name: str, found: Trend) -> Iterator[Block]:
    yield Title(
        kind="Run chart of readings",
        title=name,
        unit="",
        outcome=f"{head(name, found).partition(': ')[2]}.",
        ended="",
        notices=(),
    )
    yield Sentences(tuple(sentences(found)))
    yield Heading("Deviation from the target", "in percent, in the order of the pulls")
    yield chart(found)
    yield Sentences((_REST,), quiet=True)
    yield Heading("The runs in it")
    yield Table(
        head=("Run", "From", "Readings", "Median", "Least", "Most", "Seconds a pull"),
        widths=(1, 0, 0, 0, 0, 0, 0),
        rows=tuple(_rows(found.points)),
    )


def chart(found: Trend) -> Chart:
    """The chart in shares of its width and height."""
    reach = reach_of([point.deviation for point in found.points])
    count = len(found.points)
    every = max(1, -(-count // _MOST_DRAWN))
    marks: dict[Look, list[Place]] = {}
    for number, point in enumerate(found.points):
        look = _LOOKS.get(point.outcome, "within")
        if look != "within" or number % every == 0:
            marks.setdefault(look, []).append((_across(number, count), _height(point.deviation, reach)))
    return Chart(
        unit="%",
        bands=(),
        target=0.5,
        marks=tuple(Marks(look, False, tuple(places)) for look, places in sorted(marks.items(), reverse=True)),
        beyond=(),
        across=tuple(_days(found.points)),
        upwards=(Tick(_height(reach, reach), signed(reach)), Tick(0.5, "target"), Tick(1 - _EDGE, signed(-reach))),
        line=tuple(
            (_across(number, count), _height(value, reach))
            for number, value in enumerate(found.running)
            if number % every == 0 or number == count - 1
        ),
    )


def _across(number: int, count: int) -> float:
    return round((number + 0.5) / count, 5)


def _height(value: float, reach: float) -> float:
    return round(min(max((reach - value) / (2 * reach), _EDGE), 1 - _EDGE), 5)


def _days(points: Sequence[Point]) -> Iterator[Tick]:
    yield Tick(0.08, points[0].at[:10])
    if points[-1].at[:10] != points[0].at[:10]:
        yield Tick(0.92, points[-1].at[:10])


def _rows(points: Sequence[Point]) -> Iterator[tuple[str, ...]]:
    in_runs = [list(some) for _, some in groupby(points, key=lambda point: point.run)]
    for some in in_runs[-_MOST_ROWS:]:
        values = [point.deviation for point in some]
        seconds = [point.seconds for point in some if point.seconds is not None]
        yield (
            some[0].run,
            some[0].at[:10],
            str(len(some)),
            signed(statistics.median(values)),
            signed(min(values)),
            signed(max(values)),
            f"{statistics.median(seconds):.0f}" if seconds else "–",
        )
