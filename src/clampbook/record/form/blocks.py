"""The blocks that stand on a paper form, as plain data; `form.typ` knows how each looks. Widths are in millimetres."""

from __future__ import annotations

from msgspec import Struct

from clampbook.record.pages.blocks import Map

COLUMN = 88  # millimetres between the margins of one of the two columns of a page


class Box(Struct, frozen=True):
    """A place to write in, with its name in the corner, and what is printed in it."""

    label: str
    value: str = ""
    wide: int = 16


class Head(Struct, frozen=True, tag_field="block", tag="head"):
    """The head of page one, across both columns."""

    kind: str
    title: str
    on: str
    revision: str
    source: str
    notices: tuple[str, ...]


class Section(Struct, frozen=True, tag_field="block", tag="section"):
    """A part of the form with its heading, and lines below it; `framed` where nobody is to miss it."""

    text: str
    aside: str = ""
    lines: tuple[str, ...] = ()
    framed: bool = False


class StageHead(Struct, frozen=True, tag_field="block", tag="stage"):
    """The head of a stage: number, what it wants, its limits, and how it is done; `mapped` where the joint is drawn
    above the first such head of each page."""

    text: str
    aside: str
    lines: tuple[str, ...]
    mapped: bool = False


class Title(Struct, frozen=True, tag_field="block", tag="title"):
    """The name of a set or a joint above its boxes."""

    text: str


class Boxes(Struct, frozen=True, tag_field="block", tag="boxes"):
    """Boxes in rows across a column; each fills its share of the row."""

    rows: tuple[tuple[Box, ...], ...]
    above: bool = False  # written once for the table that follows
    apart: bool = False  # what follows may stand in the next column


class Drawing(Struct, frozen=True, tag_field="block", tag="drawing"):
    """The picture of the joint at its place on the first page."""


class Rows(Struct, frozen=True, tag_field="block", tag="rows"):
    """A table to write in: `head` and `widths` are those of one panel, each row has the cells of all `panels`, which
    are read downwards one after the other. The last `foot` rows have no position; each above them is `double` where
    several things are written in one cell. In the columns `written` a pencil writes in front of what is printed.
    """

    head: tuple[str, ...]
    widths: tuple[int, ...]
    rows: tuple[tuple[str, ...], ...]
    panels: int = 1
    foot: int = 0
    double: bool = False
    written: tuple[int, ...] = ()


class Ending(Struct, frozen=True, tag_field="block", tag="ending"):
    """The last table, which fills the page, and what stands below it."""

    text: str
    aside: str
    head: tuple[str, ...]
    widths: tuple[int, ...]
    least: int  # rows
    after: tuple[Section | Boxes, ...]


Block = Head | Section | Drawing | StageHead | Title | Boxes | Rows | Ending


class Sheets(Struct, frozen=True):
    """A whole form: its blocks, the picture that stands with its stages, and what each page has at its foot."""

    title: str
    named: str  # procedure and revision
    fingerprint: str  # of the procedure's file
    made: tuple[int, int, int, int, int, int]  # UTC: year, month, day, hour, minute, second
    picture: Map | None
    captions: tuple[str, ...]
    blocks: tuple[Block, ...]
