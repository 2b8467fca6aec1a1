"""The bench with what it opens: runs, procedures, records, and work that is due."""

from __future__ import annotations

import os
from collections.abc import Callable
from datetime import datetime
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, assert_never

from clampbook.ledger.refusals import LedgerFault
from clampbook.screens.bench import Bench, Chosen, Deed
from clampbook.screens.bench_lists import DueLine, OpenCheck, OpenRun, Sheet, Tools, ToSeal

if TYPE_CHECKING:
    from clampbook.book.book import Book
    from clampbook.book.due.entries import Due
    from clampbook.ledger.stamp import Clock
    from clampbook.people import Person
    from clampbook.screens.app import Clampbook
    from clampbook.screens.listing import Listing
    from clampbook.screens.opening import Wanted


def bench(app: Clampbook, book: Book, clock: Clock | None = None, at_once: Deed | None = None) -> Bench:
    """The bench of a book as the first screen; runs go by the system's clock unless another is handed in. `at_once` is
    what it opens by itself.
    """

    def opened(chosen: Chosen) -> None:
        from clampbook.faults import Faulty, briefly
        from clampbook.ledger.stamp import SystemClock

        ticking = clock or SystemClock()
        try:
            if isinstance(chosen, ToSeal):
                _seal(app, book, ticking, chosen, screen)
            elif isinstance(chosen, OpenCheck):
                _go_on(app, book, ticking, chosen, screen)
            elif chosen == "all that is due":
                _list_due(app, book, ticking, tuple(each.entry for each in screen.standing.due))
            else:
                _open(app, book, ticking, chosen)
        except LedgerFault as fault:
            screen.tell(fault.sentence)
        except Faulty as faulty:
            if isinstance(chosen, Sheet):
                from clampbook.screens.change_first import with_errors

                app.push_screen(with_errors(book, chosen.path, faulty, app.back_at_the_bench))
            else:
                screen.tell(briefly(faulty))

    screen = Bench(book, opened, app.exit, clock.now if clock is not None else local_time, at_once)
    return screen


def local_time() -> datetime:
    """The time of the machine."""
    return datetime.now().astimezone()


def _seal(app: Clampbook, book: Book, clock: Clock, chosen: ToSeal, screen: Bench) -> None:
    """Ask for what is still to be signed; then the run is sealed, and the bench looked at again."""
    from clampbook.screens.signing import finish_sealing

    def told(sentence: str) -> None:
        screen.again()
        screen.tell(sentence.replace(f"{book.root}{os.sep}", ""))

    finish_sealing(app, book, chosen.run, clock, told)


def _go_on(app: Clampbook, book: Book, clock: Clock, chosen: OpenCheck, screen: Bench) -> None:
    """Ask who is there; then the check is on the screen."""
    from clampbook.screens.check.opening import show
    from clampbook.screens.tools.dialogue import Dialogue, only_who

    def done(person: Person) -> None:
        try:
            show(app, book, chosen.check, person, clock, fresh=False, after=app.back_at_the_bench)
        except LedgerFault as fault:
            screen.tell(fault.sentence)

    app.push_screen(Dialogue(f"Check of {chosen.tool}", only_who(book.people()), book.person_named, done))


def _open(app: Clampbook, book: Book, clock: Clock, chosen: OpenRun | Sheet | DueLine | Tools | Deed | None) -> None:
    def listed(listing: Listing) -> None:
        app.push_screen(listing, lambda _: app.back_at_the_bench())

    match chosen:
        case Tools():
            from clampbook.screens.tools.shelf import ToolShelf

            listed(ToolShelf(book, clock))
        case "paper forms":
            from clampbook.screens.paper_forms import PaperForms

            listed(PaperForms(book, clock, partial(_type_in, app, book, clock)))
        case "people and keys":
            from clampbook.screens.people_keys import PeopleKeys

            listed(PeopleKeys(book, clock))
        case "releases of procedures":
            from clampbook.screens.releasing import Releases

            listed(Releases(book, clock))
        case "a new procedure":
            from clampbook.screens.guided import GuidedStart

            app.push_screen(GuidedStart(book, partial(_drafted, app, book)), lambda _: app.back_at_the_bench())
        case None:
            from clampbook.screens.records import Records

            app.push_screen(Records(book))
        case DueLine(entry=entry):
            _open_due(app, book, clock, entry, app.back_at_the_bench)
        case OpenRun() | Sheet():
            from clampbook.screens.opening import begin

            app.push_screen(begin(app, book, clock, _wanted(book, chosen)))


def _drafted(app: Clampbook, book: Book, path: Path) -> None:
    """The text of a procedure that was just written, to be compared with the manual and finished."""
    from clampbook.screens.draft.screen import Drafting

    app.push_screen(Drafting(path, book), lambda _: app.back_at_the_bench())


def _type_in(app: Clampbook, book: Book, clock: Clock, path: Path) -> None:
    """Ask for a filled form of a procedure, before it is typed in. Raises LedgerFault, Faulty."""
    from clampbook.book.starting.of_the_form import revisions
    from clampbook.book.starting.terms import work_named
    from clampbook.ledger.stamp import there_at
    from clampbook.screens.opening import Wanted, begin
    from clampbook.screens.paper_form import PaperForm

    work = work_named(book, path.stem)
    form = PaperForm(revisions(book, work), clock.now(), there_at(clock), asks_scan=True)
    app.push_screen(begin(app, book, clock, Wanted(work=work, form=form)))


def _list_due(app: Clampbook, book: Book, clock: Clock, entries: tuple[Due, ...]) -> None:
    """The whole list of what is due, as the bench has read it."""
    from clampbook.screens.due_list import DueList

    def again() -> tuple[Due, ...]:
        return _due(book, clock)

    def open_entry(entry: Due) -> None:
        _told_below(app, lambda: _open_due(app, book, clock, entry, listing.again))

    listing = DueList(book, clock, entries, again, open_entry)
    app.push_screen(listing, lambda _: app.back_at_the_bench())


def _due(book: Book, clock: Clock) -> tuple[Due, ...]:
    """Give what is due now; what cannot be read is told at the bench."""
    from clampbook.book.due.listing import Span, of_stock_and_procedures
    from clampbook.book.due.procedures import released
    from clampbook.book.toolbox import stock_or_fault
    from clampbook.screens.bench_lists import follow_ups

    span = Span(clock.now())
    others = of_stock_and_procedures(stock_or_fault(book)[0], released(book, book.procedures()), span)
    return (*others, *follow_ups(book, span)[0])


def _told_below(app: Clampbook, do: Callable[[], None]) -> None:
    """Do something from a list; what is refused is told there."""
    from clampbook.faults import Faulty, briefly

    try:
        do()
    except LedgerFault as fault:
        app.screen.tell(fault.sentence)  # type: ignore[attr-defined]
    except Faulty as faulty:
        app.screen.tell(briefly(faulty))  # type: ignore[attr-defined]


def _open_due(app: Clampbook, book: Book, clock: Clock, entry: Due, after: Callable[[], None]) -> None:
    """Open what it is about: the follow-up begins, the tool's page, or the procedure's release. `after` is called when
    something was changed there."""
    from clampbook.archive.follow_ups import FollowUp
    from clampbook.book.due.entries import Comparison
    from clampbook.screens.opening import Wanted, begin
    from clampbook.tools.state import Due as OfTool

    match entry.what:
        case FollowUp(run=run, title=title):
            from clampbook.book.starting.followed_up import work_followed

            folder = book.run(run)
            app.push_screen(
                begin(app, book, clock, Wanted(work=work_followed(book, folder), follow_up=title, of=folder))
            )
        case OfTool(tool=tool):
            from clampbook.screens.tools.tool_page import ToolPage

            app.push_screen(ToolPage(book, tool.id, clock, after))
        case Comparison(path=path):
            from clampbook.screens.releasing import Releases

            releases = Releases(book, clock)
            app.push_screen(releases, lambda _: after())
            app.call_later(releases.ask_about, path)
        case _ as never:
            assert_never(never)


def _wanted(book: Book, chosen: OpenRun | Sheet) -> Wanted:
    """Give what is to be walked."""
    from clampbook.book.starting.terms import work_named
    from clampbook.screens.opening import Wanted

    match chosen:
        case OpenRun(run=run):
            return Wanted(run=run)
        case Sheet(path=path):
            return Wanted(work=work_named(book, path.stem))
