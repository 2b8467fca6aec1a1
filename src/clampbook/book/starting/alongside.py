"""Runs of the same procedure that are open already, so that nobody begins a second one without knowing."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct

from clampbook.book.book import RUNS, Book
from clampbook.book.settled import settled
from clampbook.ledger.lines import UNREADABLE
from clampbook.ledger.refusals import LedgerFault
from clampbook.run import plan as plans
from clampbook.run.events import Asked, Corrected, Event, Opened, read
from clampbook.run.plan import Plan
from clampbook.run.walk import read_progress
from clampbook.run_folder import RunFolder


class Alongside(Struct, frozen=True):
    """An open run, who began it, on what (None: not said yet), and whether that is surely the same thing."""

    run: str
    person: str
    on: str | None
    same: bool

    @property
    def told(self) -> str:
        """The same as a sentence for whoever is about to begin another one."""
        where = "perhaps on the same equipment" if self.on is None else f"on {self.on}"
        where += "" if self.same or self.on is None else ", perhaps the same equipment"
        return (
            f"Run {self.run} of this procedure is open, {where}, by {self.person}. "
            "Resume it, or go on: this is a second one, and the record says so."
        )


def alongside(book: Book, slug: str, joint: str | None, unit: str | None) -> tuple[Alongside, ...]:
    """Open runs of this procedure and joint that are on the same thing, or may be: where it is not known of both.

    Follow-ups are other work; a run whose files cannot be read is told elsewhere.
    """
    return tuple(_found(book, slug, joint, unit))


def once_known(book: Book, run: RunFolder, plan: Plan, event: Event) -> tuple[str, ...]:
    """Tell, once the start sheet knows the thing, of other open runs that are surely on the same one."""
    asking = {f"ask:{ask.name}" for ask in plan.asks if ask.searched_as == "equipment"}
    if not isinstance(event, Asked | Corrected) or event.item not in asking or event.typed is None:
        return ()
    beside = alongside(book, plan.slug, plan.joint, event.typed)
    return tuple(each.told for each in beside if each.same and each.run != run.id)


def _found(book: Book, slug: str, joint: str | None, unit: str | None) -> Iterator[Alongside]:
    named = (name for name in settled(book).going_on if f"-{slug}-" in name)
    for run in (RunFolder(book.path(RUNS, name)) for name in named):
        if run.state != "open" or run.made_before:
            continue
        try:
            known = _on(run, slug, joint)
        except (LedgerFault, *UNREADABLE):
            continue
        if known is None:
            continue
        person, on = known
        same = unit is not None and on is not None and unit.casefold() == on.casefold()
        if same or unit is None or on is None:
            yield Alongside(run.id, person, on, same)


def _on(run: RunFolder, slug: str, joint: str | None) -> tuple[str, str | None] | None:
    """Read who began a run and on what; None where it is other work."""
    first = read(run.first_line() or b"")
    plan = plans.decode(run.plan())
    if not isinstance(first, Opened) or first.of_run is not None or (plan.slug, plan.joint) != (slug, joint):
        return None
    return first.person.name, read_progress(run.daybook, plan, run.lines()[0]).worked_on
