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
from clampbook.record.report import Paper, typeset
from clampbook.run.fold.acts import TOO_FAR_APART
from clampbook.text import grouped

MOST_DRAWN = 4000  # marks; of more readings every so manieth is drawn, and those outside always
MOST_ROWS = 120  # runs in the table, the latest ones
EDGE = 0.04  # of the height, where what lies beyond the chart stands
_REST = (
    "What is charted is the deviation of each reading from its target in percent, in the order of the pulls, at equal "
    f"distances (a run chart, ISO 7870-1). The line is the running median of {REACH} readings. Clicks of a setting "
    "tool have no number and are not in it. A reading says what the tool showed, not what was true."
)
LOOKS: dict[str, Look] = {
    "under": "under",
    "over": "over",
    TOO_FAR_APART: "wrong",
    "by concession": "concession",
}


def pdf(name: str, found: Trend, *, made: datetime, log_head: str, paper: Paper = "a4") -> bytes:
    """The run chart as PDF/A; `log_head` is the hash of the last line of the book's log when it was made.

    Raises RecordFault where the pages cannot be set.
    """
    return set_as_pages(name, tuple(_blocks(name, found)), made=made, log_head=log_head, paper=paper)


def set_as_pages(name: str, blocks: tuple[Block, ...], *, made: datetime, log_head: str, paper: Paper) -> bytes:
    """The blocks of a run chart as PDF/A, with the book's fingerprint on each page.

    Raises RecordFault where the pages cannot be set.
    """
    at = made.astimezone(UTC)
    pages = Pages(
        title=f"Run chart of {name}",
        run=f"{name}, looked through on {made:%Y-%m-%d}",
        fingerprint=grouped(log_head[:16]),
        made=(at.year, at.month, at.day, at.hour, at.minute, at.second),
        blocks=blocks,
        attached=(),
        anchor="Last line of the book’s log",
    )
    return typeset(encoded(pages), {}, paper)


def _blocks(name: str, found: Trend) -> Iterator[Block]:
    yield Title(
        kind="Run chart of readings",
        title=name,
        unit="",
        outcome=f"{head(name, found.points).partition(': ')[2]}.",
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
    every = max(1, -(-count // MOST_DRAWN))
    marks: dict[Look, list[Place]] = {}
    for number, point in enumerate(found.points):
        look = LOOKS.get(point.outcome, "within")
        if look != "within" or number % every == 0:
            marks.setdefault(look, []).append((across(number, count), _height(point.deviation, reach)))
    return Chart(
        unit="%",
        bands=(),
        target=0.5,
        marks=tuple(Marks(look, False, tuple(places)) for look, places in sorted(marks.items(), reverse=True)),
        beyond=(),
        across=tuple(days(found.points[0].at, found.points[-1].at)),
        upwards=(Tick(_height(reach, reach), signed(reach)), Tick(0.5, "target"), Tick(1 - EDGE, signed(-reach))),
        line=tuple(
            (across(number, count), _height(value, reach))
            for number, value in enumerate(found.running)
            if number % every == 0 or number == count - 1
        ),
    )


def across(number: int, count: int) -> float:
    """The place of a reading from left to right, as a share of the width."""
    return round((number + 0.5) / count, 5)


def _height(value: float, reach: float) -> float:
    return round(min(max((reach - value) / (2 * reach), EDGE), 1 - EDGE), 5)


def days(first: str, last: str) -> Iterator[Tick]:
    """The first day and the last under the chart."""
    yield Tick(0.08, first[:10])
    if last[:10] != first[:10]:
        yield Tick(0.92, last[:10])


def _rows(points: Sequence[Point]) -> Iterator[tuple[str, ...]]:
    in_runs = [list(some) for _, some in groupby(points, key=lambda point: point.run)]
    for some in in_runs[-MOST_ROWS:]:
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
