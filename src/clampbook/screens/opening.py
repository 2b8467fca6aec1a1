"""From what was chosen at the bench, or said on the command line, to a run in hand on the screen."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING, Any

from textual.screen import Screen

from clampbook.ledger.refusals import LedgerFault
from clampbook.screens.beginning import Beginning, Settled, next_part
from clampbook.screens.questions import Line, Question, Questions
from clampbook.screens.standing import day_and_time

if TYPE_CHECKING:
    from clampbook.book.book import Book
    from clampbook.people import Person
    from clampbook.run.walk import Clock
    from clampbook.run_folder import RunFolder
    from clampbook.screens.app import Clampbook
    from clampbook.screens.taken import Taken
    from clampbook.starting import Work


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """What is to be walked, as far as it was said: an open run, or work on terms."""

    run: RunFolder | None = None
    work: Work | None = None
    person: Person | None = None
    hands: Person | None = None
    trial: bool | None = None
    joint: str | None = None
    unit: str | None = None
    follow_up: str | None = None
    of: RunFolder | None = None


def begin(app: Clampbook, book: Book, clock: Clock, wanted: Wanted) -> Screen[None]:
    """The screen that asks what is missing; where nothing is, the walk itself."""
    if wanted.run is None and wanted.work is None:
        return WhichRun(app, book, clock, wanted, book.open_runs())
    settled = _settled(wanted)
    if next_part(settled, book.people()) is None:
        from clampbook.screens.walk import WalkScreen

        taken = take(book, clock, wanted, settled)
        app.hold(taken)
        return WalkScreen(taken, app.walked)
    return Beginning(settled, book.people(), book.person_named, partial(_begun, app, book, clock, wanted))


def _settled(wanted: Wanted) -> Settled:
    if wanted.run is not None:
        from clampbook.starting import plan_frozen

        plan = plan_frozen(wanted.run)
        return Settled(f"{plan.title} · {wanted.run.id}", person=wanted.person)
    assert wanted.work is not None
    procedure = wanted.work.procedure
    told = f"{procedure.title} · revision {procedure.revision}, {procedure.status}"
    if wanted.of is not None:
        return Settled(f"{wanted.follow_up} · {told}", person=wanted.person)
    return Settled(told, procedure, wanted.person, wanted.trial, wanted.joint)


def _begun(app: Clampbook, book: Book, clock: Clock, wanted: Wanted, settled: Settled | None) -> None:
    """All is known, or the person went back."""
    if settled is None:
        app.walked()
        return
    try:
        taken = take(book, clock, wanted, settled)
    except LedgerFault as fault:
        screen = app.screen
        if isinstance(screen, Questions):
            screen.tell(fault.sentence)
        return
    app.walk(taken)


def take(book: Book, clock: Clock, wanted: Wanted, settled: Settled) -> Taken:
    """The run in hand: opened now, or taken up again. Raises LedgerFault, LockHeld."""
    from clampbook.screens.taken import Taken
    from clampbook.starting import Terms, open_run

    assert settled.person is not None
    if wanted.run is not None:
        before = wanted.run.last()
        taken = Taken(book, wanted.run, clock, settled.person, wanted.hands, fresh=False)
        taken.gathering.tell(_back(book, before or {}, wanted.run.last() or {}))
        return taken
    assert wanted.work is not None
    terms = Terms(
        person=settled.person,
        hands=wanted.hands,
        trial=bool(settled.trial),
        joint=settled.joint if wanted.of is None else wanted.joint,
        unit=wanted.unit,
        follow_up=wanted.follow_up,
        of=wanted.of,
    )
    run = open_run(book, wanted.work, terms, clock, "system")
    taken = Taken(book, run, clock, settled.person, wanted.hands, fresh=True)
    taken.gathering.tell(_before(book, wanted.work, terms))
    return taken


def _back(book: Book, before: Mapping[str, Any], resumed: Mapping[str, Any]) -> str:
    """Who stopped and when, for somebody who comes back; and what a break left behind."""
    by = before.get("by")
    who = next((person.name for person in book.people() if person.id == by), by)
    told = [f"Taken up again. Last entry {day_and_time(before.get('at'))}, by {who}."]
    if resumed.get("clock") == "doubtful":
        told.append("The clock has jumped since then; it counts as a long break.")
    if resumed.get("bytes_set_aside"):
        told.append(f"{resumed['bytes_set_aside']} bytes of a last line that was not whole are set aside beside it.")
    return " ".join(told)


def _before(book: Book, work: Work, terms: object) -> str:
    """What a person should know as the run begins; none of it holds them up."""
    from clampbook.starting import Terms, twins

    told = []
    if work.procedure.status != "released":
        told.append("This revision is not released; the record will say so.")
    if not book.tools():
        told.append(f"The book has no tools yet: write them into {book.path('tools.toml')}.")
    assert isinstance(terms, Terms)
    for joint, event in twins(book, work, terms.joint):
        if event.person.id == terms.person.id:
            told.append(f"{terms.person.name} did {joint} too: twins are better done by different people.")
            break
    return " ".join(told)


class WhichRun(Questions):
    """Several runs are open: which one is taken up again?"""

    def __init__(self, app: Clampbook, book: Book, clock: Clock, wanted: Wanted, runs: tuple[RunFolder, ...]) -> None:
        choices = tuple(Line(str(number), run.id) for number, run in enumerate(runs, 1))
        super().__init__(Question("run", "Which run is taken up again?", "choice", choices))
        self._runs = runs
        self._chosen = partial(_chosen, app, book, clock, wanted)

    def take(self, line: str) -> None:
        """Go on with the run of this number."""
        keys = [choice.key for choice in self.part.choices]
        if line.strip() in keys:
            self._chosen(self._runs[keys.index(line.strip())])
        else:
            self.field = ""
            self.tell(f"{line} is not on the list.")

    def back(self) -> None:
        """Nothing is taken up."""
        self.app.exit()


def _chosen(app: Clampbook, book: Book, clock: Clock, wanted: Wanted, run: RunFolder) -> None:
    from dataclasses import replace

    app.switch_screen(begin(app, book, clock, replace(wanted, run=run)))
