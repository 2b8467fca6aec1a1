"""The blocks that stand on the pages, as plain data: the template knows how each kind looks, and nothing else.

Every text in a block is foreign to the template and is shown sign by sign, never read as markup.
"""

from __future__ import annotations

from typing import Literal

from msgspec import Struct

_MOST_WHOLE = 900  # signs of a column that stays whole; they are about half a page
Look = Literal["within", "under", "over", "concession", "clicked", "lost", "wrong"]
Point = tuple[float, float]
Cell = str | tuple[str, ...]  # one line, or several below each other


class Title(Struct, frozen=True, tag_field="block", tag="title"):
    """The head of page one: what was worked on, on what, how it ended, and what must be known at once."""

    kind: str
    title: str
    unit: str
    outcome: str
    ended: str
    notices: tuple[str, ...]


class Heading(Struct, frozen=True, tag_field="block", tag="heading"):
    """The head of a part (level 1) or of a stage in it (level 2), and what stands beside it in a quieter voice."""

    text: str
    aside: str = ""
    level: int = 1


class Sentences(Struct, frozen=True, tag_field="block", tag="sentences"):
    """Running text, a paragraph each."""

    lines: tuple[str, ...]
    quiet: bool = False
    small: bool = False
    sticky: bool = False  # stays with what follows
    codes: bool = False  # what is to be typed into a terminal stands in it, and looks like that


class Facts(Struct, frozen=True, tag_field="block", tag="facts"):
    """Names and what they stand for, in two columns of pairs or in one."""

    rows: tuple[tuple[str, str], ...]
    columns: int = 1
    sticky: bool = False  # stays with what follows
    codes: tuple[int, ...] = ()  # rows that hold fingerprints or the like


class Table(Struct, frozen=True, tag_field="block", tag="table"):
    """Rows under a head. `widths`: 0 is as wide as needed, n a share of what is left.

    `points` are columns of numbers, which stand below each other at the decimal point, `codes` columns of what nobody
    reads as words, `quiet` columns for whoever looks something up.
    """

    head: tuple[str, ...]
    widths: tuple[int, ...]
    rows: tuple[tuple[Cell, ...], ...]
    points: tuple[int, ...] = ()
    codes: tuple[int, ...] = ()
    quiet: tuple[int, ...] = ()


class Form(Struct, frozen=True, tag_field="block", tag="form"):
    """A table with a frame around each cell and room to write in it; a head without words is left out."""

    head: tuple[str, ...]
    widths: tuple[int, ...]
    rows: tuple[tuple[Cell, ...], ...]


class Readings(Struct, frozen=True, tag_field="block", tag="readings"):
    """Many short rows in `panels` beside each other, read downwards within a block of `every` rows.

    `head` and `points` (columns of numbers) are those of one panel; a row holds the cells of all panels.
    """

    head: tuple[str, ...]
    points: tuple[int, ...]
    rows: tuple[tuple[str, ...], ...]
    panels: int
    every: int


class Band(Struct, frozen=True):
    """The window over a stretch of the chart, all as shares of its width and height; y downwards."""

    left: float
    right: float
    top: float
    bottom: float


class Marks(Struct, frozen=True):
    """All marks of one look in a chart, drawn as one path; those `past` do not count any more."""

    look: Look
    past: bool
    points: tuple[Point, ...]


class Tick(Struct, frozen=True):
    """A word beside the chart, at a share of its width or height."""

    at: float
    text: str


class Chart(Struct, frozen=True, tag_field="block", tag="chart"):
    """Readings against their window, in the order of the work from left to right."""

    unit: str
    bands: tuple[Band, ...]
    target: float | None
    marks: tuple[Marks, ...]
    beyond: tuple[tuple[float, float, str], ...]  # readings off the chart, with their number
    across: tuple[Tick, ...]
    upwards: tuple[Tick, ...]
    line: tuple[Point, ...] = ()  # drawn through the marks, such as a running median
    height: float = 56.0  # in points


class Spot(Struct, frozen=True):
    """A position in the map, in millimetres, with its mark; `departed` where a deviation names it."""

    x: float
    y: float
    label: str
    look: str
    departed: bool = False


class Map(Struct, frozen=True, tag_field="block", tag="map"):
    """The joint as the plan draws it. Sizes in millimetres; `head` is the diameter of a bolt's head."""

    width: float
    height: float
    head: float
    spots: tuple[Spot, ...]
    edges: dict[str, str]
    caption: str
    legend: tuple[tuple[str, str], ...]  # look and what it means, for those that are there
    departed: str = ""  # the positions that deviations name


Plain = Title | Heading | Sentences | Facts | Table | Form | Readings | Chart | Map


class Beside(Struct, frozen=True, tag_field="block", tag="beside"):
    """Columns of blocks, equally wide, which stay together on a page unless they are `parted` by its end."""

    columns: tuple[tuple[Plain, ...], ...]
    parted: bool = False


def beside(*columns: tuple[Plain, ...]) -> Beside:
    """The columns beside each other, parted where people wrote so much in one that a page might not hold it."""
    return Beside(columns, any(sum(map(_signs, column)) > _MOST_WHOLE for column in columns))


def _signs(block: Plain) -> int:
    match block:
        case Facts(rows=rows):
            return sum(len(name) + len(value) for name, value in rows)
        case Sentences(lines=lines):
            return sum(map(len, lines))
        case _:
            return 0


Block = Plain | Beside


class Pages(Struct, frozen=True):
    """The whole report: its blocks, what runs along the top and bottom of each page, and what is attached."""

    title: str
    run: str
    fingerprint: str
    made: tuple[int, int, int, int, int, int]  # UTC: year, month, day, hour, minute, second
    blocks: tuple[Block, ...]
    attached: tuple[tuple[str, str, str, str], ...]  # file, relationship, MIME type, description
    anchor: str = "Daybook’s last line"  # what the fingerprint is of
