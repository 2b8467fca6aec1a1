"""A moment of the walk: plan, progress, what is known around them, and an unusual value that is still open."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from decimal import Decimal

from msgspec.structs import replace

from clampbook.ledger.stamp import There, day_there
from clampbook.people import Person
from clampbook.run.last_run import NOTHING, LastRun
from clampbook.run.plan import Plan
from clampbook.run.progress import Progress
from clampbook.tools.identity import folded
from clampbook.tools.model import Adapter, LastCheck, Stock, Tool, Use

BETWEEN_LINES = "between two lines"  # the code of a number that is finer than its window is shown


@dataclass(frozen=True, slots=True)
class Session:
    """`painted` is when the present prompt was shown; `unusual` is the code of what makes the value just
    typed unusual, and the step it is about; `exempt` is True where no least pull time holds, as for lines from a pipe.
    `unread` says what is wrong with the tools file where it cannot be read, or is None; `tools_known` is False as long
    as nobody has looked into it. `keys` holds the fingerprint of the key of each person who signs with one, by id.
    `last_run` is what the run before offers for choosing. `now` is when a paper form is typed in, and `there` gives its
    times the offset of the place on their day."""

    plan: Plan
    progress: Progress
    tools: tuple[Tool, ...] = ()
    people: tuple[Person, ...] = ()
    painted: datetime | None = None
    unusual: tuple[str, str] | None = None
    exempt: bool = False
    adapters: tuple[Adapter, ...] = ()
    uses: Mapping[str, Use] = field(default_factory=dict)
    unread: str | None = None
    tools_known: bool = True
    last_run: LastRun = NOTHING
    keys: Mapping[str, str] = field(default_factory=dict)
    now: datetime | None = None
    there: There | None = None

    @property
    def today(self) -> date | None:
        """The day at the place of the work, as far as it is known."""
        if self.plan.late and self.progress.at:
            return date.fromisoformat(day_there(self.progress.at, self.progress.offset))
        if self.painted is not None:
            return self.painted.date()
        return moment(self.progress.at).date() if self.progress.at else None

    @property
    def stock(self) -> Stock:
        """The tools and adapters of the book, and what is known of their use."""
        return Stock(self.tools, self.adapters, {tool.id: self.use(tool.id) for tool in self.tools})

    def use(self, tool: str) -> Use:
        """Tell what is known of the use of a tool: by the book, and by this run, which the book may not
        have heard yet.
        """
        known, here = self.uses.get(tool) or Use(), self.progress.troubles.get(tool, ())
        if known.serial_was is not None:  # until somebody says that it is the same tool, nothing is known of it
            return Use(serial_was=known.serial_was)
        if self.another(tool):
            return known
        told = {each.told_at for each in known.troubles}
        fresh = tuple(each for each in here if each.told_at not in told)
        failed = self.progress.failed.get(tool)
        if failed is not None and known.failed is None:
            on = day_there(self.progress.at, self.progress.offset)
            known = replace(known, last_check=LastCheck(check=failed, on=on, verdict="failed"))
        return replace(known, troubles=(*known.troubles, *fresh)) if fresh else known

    def another(self, tool: str) -> bool:
        """True where the book says that its tool of this id is not the one that this run had by it."""
        had, known = self.progress.serials.get(tool), self.uses.get(tool) or Use()
        return had is not None and folded(had) in known.others

    def told_apart(self, tool: str, *, same: bool) -> Session:
        """The same moment with what a person says of a changed serial number."""
        known = self.uses.get(tool) or Use()
        had = frozenset(() if known.serial_was is None else (folded(known.serial_was),))
        now = replace(known, serial_was=None) if same else Use(others=known.others | had)
        return dataclasses.replace(self, uses={**self.uses, tool: now})

    def unusual_at(self, step: str) -> str | None:
        """The code of what was unusual at this step and is still open."""
        return self.unusual[0] if self.unusual is not None and self.unusual[1] == step else None

    def unit_wanted(self, step: str) -> bool:
        """True where number and unit are wanted for this step: it was unusual, and not in its last digit alone."""
        return self.unusual_at(step) not in (None, BETWEEN_LINES)


def moment(text: str) -> datetime:
    """A time of the daybook."""
    return datetime.fromisoformat(text)


def seconds_between(earlier: str, later: datetime) -> Decimal:
    """Seconds from a time of the daybook to a moment; negative where the clock was put back."""
    return Decimal(str((later - moment(earlier)).total_seconds()))
