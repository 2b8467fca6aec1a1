"""A run chart in plain text, in our own marks: readings from left to right, their running median and lines behind."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from msgspec import Struct

from clampbook.run.fold.acts import TOO_FAR_APART
from clampbook.run.told.marks import MARKS

WIDTH, HEIGHT = 64, 13  # columns and rows of the chart
LABEL = 9  # columns left of it
RUNNING, LEVEL = "─", "┈"
_GRAVE = (
    " ",
    LEVEL,
    RUNNING,
    *(MARKS[outcome] for outcome in ("within", "concession", TOO_FAR_APART, "under", "over")),
)


class Scale(Struct, frozen=True):
    """The values at the lower and the upper edge; what lies farther out stands at the edge."""

    low: float
    high: float

    def share(self, value: float) -> float:
        """The share of the height from above, below 0 and above 1 for what lies farther out."""
        return (self.high - value) / (self.high - self.low)

    def holds(self, value: float) -> bool:
        """True for what the chart shows at its place."""
        return self.low <= value <= self.high


class Drawing(Struct, frozen=True, kw_only=True):
    """The values and running medians as they came, the sign of each value, and the labels of lines and of the edges."""

    values: Sequence[float]
    running: Sequence[float]
    signs: Sequence[str]
    scale: Scale
    levels: Sequence[tuple[float, str]]
    edges: tuple[str, str]
    days: tuple[str, str]


def mark(outcome: str) -> str:
    """The mark of a reading, as everywhere."""
    match outcome:
        case "under" | "over" | "too far apart":
            return MARKS[outcome]
        case "by concession":
            return MARKS["concession"]
        case _:
            return MARKS["within"]


def lines(of: Drawing, width: int = WIDTH, height: int = HEIGHT) -> Iterator[str]:
    """The chart line by line."""
    count = len(of.values)
    columns = min(width, count)
    cells = [[" "] * columns for _ in range(height)]
    labels = {height - 1: of.edges[0], 0: of.edges[1]}

    def row_of(value: float) -> int:
        return min(max(round(of.scale.share(value) * (height - 1)), 0), height - 1)

    def put(number: int, value: float, sign: str) -> None:
        cell, at = cells[row_of(value)], number * columns // count
        if _GRAVE.index(sign) > _GRAVE.index(cell[at]):
            cell[at] = sign

    for level, label in of.levels:
        cells[row_of(level)] = [LEVEL] * columns
        labels[row_of(level)] = label
    for number, value in enumerate(of.running):
        put(number, value, RUNNING)
    for number, value in enumerate(of.values):
        put(number, value, of.signs[number])
    for number, row in enumerate(cells):
        yield f"{labels.get(number, ''):>{LABEL}} │{''.join(row)}".rstrip()
    yield f"{'':>{LABEL}} └{_days(*of.days, columns)}"


def _days(first: str, last: str, columns: int) -> str:
    if first == last or columns < 2 * len(first) + 2:
        return first if first == last else f"{first} to {last}"
    return f"{first}{last:>{columns - len(first)}}"
