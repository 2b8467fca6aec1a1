"""The past checks of a tool, and their picture: at each date its points against what is allowed."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from msgspec import Struct

from clampbook.book.book import Book
from clampbook.book.checks import checks_of
from clampbook.check import rests_on
from clampbook.check.folder import CheckFolder
from clampbook.check.judging import Judgement
from clampbook.check.loading import both, load
from clampbook.check.plan import CheckPlan
from clampbook.check.wording import VERIFICATION, concluded
from clampbook.ledger.refusals import LedgerFault
from clampbook.screens.check.figures import all_figures
from clampbook.screens.check.picture import points_drawn
from clampbook.screens.widgets.band_drawing import Band, Lot
from clampbook.tools.model import Tool


class PastCheck(Struct, frozen=True):
    """A check that has ended: what was found, what was left."""

    folder: CheckFolder
    at: str  # when it ended, in UTC
    plan: CheckPlan
    found: Judgement | None
    left: Judgement | None

    @property
    def on(self) -> str:
        """The day."""
        return self.at[:10]

    @property
    def text(self) -> str:
        """One line of a list."""
        return f"{self.on} · {concluded(self.plan.tool.name, self.found, self.left)}"


def past_checks(book: Book, tool: Tool) -> tuple[PastCheck, ...]:
    """The ended checks of a tool by date; one whose files are not whole is left out, as its record says why."""
    return tuple(sorted(_ended(book, tool), key=lambda check: check.at))


def _ended(book: Book, tool: Tool) -> Iterator[PastCheck]:
    for folder in checks_of(book, tool):
        if folder.state not in ("closed", "abandoned"):
            continue
        try:
            plan, progress = load(folder)
        except LedgerFault:
            continue
        found, left = both(plan, progress)
        yield PastCheck(folder, progress.at, plan, found, left)


def drawn(past: tuple[PastCheck, ...], tool: Tool) -> Band | None:
    """All checks beside each other, as found and as left; None where there is none or no limit is known."""
    permissible = tool.permissible_deviation or (past[-1].plan.permissible if past else None)
    lots = [
        Lot(points_drawn(judgement), (_short(check.on), phase))
        for check in past
        for phase, judgement in (("as found", check.found), ("as left", check.left))
        if judgement is not None
    ]
    return Band(tuple(lots), permissible) if lots and permissible is not None else None


def _short(day: str) -> str:
    read = date.fromisoformat(day)
    return f"{read.day} {read:%b %y}"


def pages(check: PastCheck) -> tuple[str, ...]:
    """One check to be read."""
    plan = check.plan
    phases = (("As found", check.found), ("As left", check.left))
    return (
        concluded(plan.tool.name, check.found, check.left),
        "",
        *rests_on.told(plan),
        VERIFICATION,
        "",
        *all_figures(phases),
    )
