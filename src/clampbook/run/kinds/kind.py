"""The contents of a kind of work: one module of plain functions, from its place in the plan to its line in the
record.
"""

from __future__ import annotations

from decimal import Decimal
from typing import Literal

from msgspec import Struct

from clampbook.procedure.model import Window
from clampbook.run.answers import Accepted, Answer, Refused, Unsure
from clampbook.run.gather.draft import Part
from clampbook.tools.model import Tool

Tools = tuple[Tool, ...]
Next = Part | Refused | Answer
Outcome = Accepted | Unsure | Refused


class Planned(Struct, frozen=True):
    """The place of a stage in the plan: at `each` position; `once`, at the bolt itself where the work goes
    bolt by bolt; or always at a `gate` between them. And its target and window in `unit`.
    """

    at: Literal["each", "once", "gate"]
    target: Decimal | None = None
    window: Window | None = None
    unit: str | None = None


class Column(Struct, frozen=True):
    """A column of a form: its head, what is printed in each of its cells, and how wide a pencil needs it, in mm. A
    `spare` one is room for what is written a second time, which a wide column before it has as well; in one that is
    `written` there is room in front of what is printed, and one `for_all` rounds stands once before them."""

    head: str
    cell: str = ""
    wide: int = 16
    spare: bool = False
    written: bool = False
    for_all: bool = False


DONE = Column("Done", "□", 12)
YES_OR_NO = Column("Answer", "□ yes  □ no", 23)
READ = (Column("Reading or ○", wide=17), Column("Further pulls", wide=15, spare=True))


class Paper(Struct, frozen=True):
    """A stage on paper: what it wants, its limits, how it is done, and the places to write: what is written once for
    each of its rounds, and a column for each thing that is written at every position, with those of its last round
    alone at the end. `repeats` counts how often it is gone through again until nothing moves."""

    wants: str
    limits: tuple[str, ...] = ()
    does: str = ""
    fields: tuple[str, ...] = ()
    columns: tuple[Column, ...] = (DONE,)
    at_the_end: tuple[Column, ...] = ()
    repeats: int = 1
