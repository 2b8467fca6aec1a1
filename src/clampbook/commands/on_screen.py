"""The full-screen program as the commands start it, and how it is left: exit status and last words."""

from __future__ import annotations

import gc
import os
import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from clampbook.commands.exit_status import FINE, INTERRUPTED, LOOK_AT_IT

if TYPE_CHECKING:
    from pathlib import Path

    from textual.screen import Screen

    from clampbook.book.book import Book
    from clampbook.check.folder import CheckFolder
    from clampbook.ledger.stamp import Clock
    from clampbook.people import Person
    from clampbook.screens.app import Clampbook, Ending, First
    from clampbook.screens.opening import Wanted

    BookOf = Callable[[], Book | None]
    PlaceOf = Callable[[], Path | None]

_CLEAN_ENDS = frozenset({"", "done", "trial", "paused", "held"})
_CAN_BE_RESUMED = frozenset({"paused", "held"})


def is_a_screen() -> bool:
    """True where there is a terminal that can be drawn on, at both ends."""
    return sys.stdin.isatty() and sys.stdout.isatty() and os.environ.get("TERM", "dumb") != "dumb"


def begin_at_once() -> None:
    """Load what the screens need without a pause: none of it is thrown away again before the first one is shown.

    Looking for garbage among it would only delay that; the screens look for it again once they are there.
    """
    gc.disable()


def at_the_bench(book: Book, *, tour: bool = False) -> int:
    """The bench of a book, until the person leaves it; of the demo with notes beside the screens."""
    from clampbook.screens.at_the_bench import bench

    return _run(lambda app: bench(app, book), lambda: book, tour=tour)


def at_the_first_page(folder: Path) -> int:
    """The first page of somebody who has no book in their data `folder`, and the bench of the book that they make or
    look at."""
    from clampbook.screens.new_book.opening import first_page

    opened: list[Book] = []

    def first(app: Clampbook) -> Screen[None]:
        return first_page(app, folder, lambda: _demo(app), opened.append)

    return _run(first, lambda: opened[-1] if opened else None)


def _demo(app: Clampbook) -> Book:
    """The demo book, made where it is not there yet; then its screens are explained. Raises LedgerFault."""
    from clampbook.commands.options import today
    from clampbook.demo import default_folder, make

    book, made = make(default_folder(), today())
    if made:
        _tour(app)
    return book


def _tour(app: Clampbook) -> None:
    """Explain the screens from now on."""
    from clampbook.demo import HEAD
    from clampbook.screens.tour.touring import Tour

    app.tour = Tour(HEAD)


def starting_a_procedure(book: Book) -> int:
    """The questions about a new procedure, and the bench behind them."""
    from clampbook.screens.at_the_bench import bench

    return _run(lambda app: bench(app, book, at_once="a new procedure"), lambda: book)


def walking(book: Book, wanted: Wanted) -> int:
    """One run, until it is over, or over for today."""
    from clampbook.ledger.stamp import SystemClock
    from clampbook.screens.opening import begin

    return _run(lambda app: begin(app, book, SystemClock(), wanted), lambda: book)


def drafting(path: Path, book: Book | None, text: str | None = None) -> int:
    """The text of one procedure, until somebody leaves it. Raises Faulty, LedgerFault, or Unforeseen."""
    begin_at_once()
    from clampbook.screens.app import STOPPED
    from clampbook.screens.draft.screen import Drafting

    ending, _ = _shown(lambda app: Drafting(path, book, text, left=app.exit), lambda: path)
    from clampbook.book.drafting.copies import kept
    from clampbook.commands.options import say

    if ending.outcome != STOPPED:
        return FINE
    copy = " What was typed is saved in a copy. It is offered when you open the file again." if kept(path) else ""
    say(f"Stopped.{copy}")
    return INTERRUPTED


def checking(
    book: Book,
    title: str,
    opened: Callable[[Person], CheckFolder],
    person: Person | None,
    clock: Clock,
    *,
    fresh: bool,
) -> bool:
    """One check, until it is over, or over for today; False where somebody stopped the program.

    Who is there is asked where no `person` is known; `opened` gives the check's folder once that is.
    """
    begin_at_once()
    from clampbook.book.book import RUNS
    from clampbook.screens.app import STOPPED
    from clampbook.screens.check.opening import first

    ending, _ = _shown(lambda app: first(app, book, title, opened, person, clock, fresh=fresh), lambda: book.path(RUNS))
    return ending.outcome != STOPPED


def _shown(first: First, place_of: PlaceOf, *, tour: bool = False) -> tuple[Ending, Ending]:
    """Show the program; gives how it ended, and how the run ended that was still in hand then. `place_of` gives the
    place where the answers are; None where nothing was written."""
    from clampbook.screens import signals
    from clampbook.screens.app import Clampbook, Ending

    signals.hold_back()
    try:
        app = Clampbook(first)
        if tour:
            _tour(app)
        try:
            ending = app.run(mouse=False) or Ending()
        finally:
            left = app.leave_run()
    finally:
        signals.forget()
    _tell_faults(app, place_of())
    return ending, left


def _run(first: First, book_of: BookOf, *, tour: bool = False) -> int:
    begin_at_once()
    from clampbook.book.book import RUNS
    from clampbook.screens.app import STOPPED

    ending, left = _shown(first, lambda: book.path(RUNS) if (book := book_of()) is not None else None, tour=tour)
    book = book_of()
    from clampbook.commands.options import in_this_book, say

    if ending.outcome == STOPPED:
        say("Stopped. All answers are saved.")
        return INTERRUPTED
    told = ending if ending.run else left
    if told.run:
        say(f"Run {told.run}: {told.outcome}.")
    if told.run and told.outcome in _CAN_BE_RESUMED and book is not None:
        say(f"Resume with: clampbook walk --resume {told.run}{in_this_book(book)}")
    return FINE if told.outcome in _CLEAN_ENDS else LOOK_AT_IT


def _tell_faults(app: Clampbook, place: Path | None) -> None:
    """Raise what went wrong, to be told in a sentence. Raises LedgerFault, Unforeseen, or what a run's end raised."""
    from clampbook.commands.options import Unforeseen

    where = app.daybook or place
    if app.unforeseen is not None and where is not None:
        raise Unforeseen(app.unforeseen, where)
    if app.unforeseen is not None:
        raise app.unforeseen
    if app.fault is not None:
        raise app.fault
