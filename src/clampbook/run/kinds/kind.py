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

Box = str | tuple[str, str]
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


class Paper(Struct, frozen=True):
    """A stage on paper: what it wants, its limits, and what there is to tick or to write; `at_the_end` that of its
    last round, where it is another. `called` is its name in a table of several stages, where it has another than its
    kind's."""

    wants: str
    limits: tuple[str, ...] = ()
    box: Box = "□ done"
    at_the_end: Box | None = None
    called: str = ""
