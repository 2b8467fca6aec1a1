"""A run as the index holds it: texts of bounded length."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

if TYPE_CHECKING:
    from clampbook.archive.pulls import Pull
    from clampbook.run.use import Meter

BETWEEN = "\n"  # stands between the people, tools, lots and follow-ups of one run


class Later(Struct, frozen=True):
    """Work that is due after a run: on a day, after so much use, or whichever comes first."""

    title: str
    due_at: str
    or_use: str


class Entry(Struct, frozen=True, kw_only=True, gc=False):
    """One run: what is shown of it, what it is searched by, and its pulls."""

    run: str
    title: str = ""
    revision: str = ""
    equipment: str = ""
    joint: str = ""
    day: str = ""
    ended: float = 0.0  # seconds since 1970, by which runs are put in order
    outcome: str = ""
    deviations: int = 0
    late: bool = False  # typed in from a paper form, which left these open:
    unknown: int = 0
    undecided: int = 0
    unsigned: str = ""
    people: str = ""
    tools: str = ""
    lots: str = ""
    due: str = ""
    procedure: str = ""
    rest: str = ""
    of_run: str = ""  # whose addendum it is
    follows: str = ""  # the run that it follows up
    follow_up: str = ""  # with which work of that one, as it is called there
    book: str = ""
    fault: str = ""
    pulls: tuple[Pull, ...] = ()
    later: tuple[Later, ...] = ()
    meters: tuple[Meter, ...] = ()
