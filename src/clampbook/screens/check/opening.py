"""From an open check of a book to a check in hand on the screen."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from clampbook.screens.check.screen import CheckScreen
from clampbook.screens.check.taken import CheckTaken

if TYPE_CHECKING:
    from clampbook.book.book import Book
    from clampbook.check.folder import CheckFolder
    from clampbook.ledger.stamp import Clock
    from clampbook.people import Person
    from clampbook.screens.app import Clampbook


def at_once(
    app: Clampbook, book: Book, check: CheckFolder, person: Person, clock: Clock, *, fresh: bool
) -> CheckScreen:
    """The check as the first screen; the program ends with it. Raises LedgerFault, LockHeld."""
    return _in_hand(app, book, check, person, clock, fresh, app.walked)


def show(
    app: Clampbook,
    book: Book,
    check: CheckFolder,
    person: Person,
    clock: Clock,
    *,
    fresh: bool,
    after: Callable[[], None],
) -> None:
    """The check on top of the screen at hand; `after` is called back there. Raises LedgerFault, LockHeld."""

    def leave() -> None:
        app.leave_run()
        screen.dismiss()
        app.call_later(after)

    screen = _in_hand(app, book, check, person, clock, fresh, leave)
    app.push_screen(screen)


def _in_hand(
    app: Clampbook,
    book: Book,
    check: CheckFolder,
    person: Person,
    clock: Clock,
    fresh: bool,
    leave: Callable[[], None],
) -> CheckScreen:
    taken = CheckTaken(book, check, clock, person, fresh=fresh)
    if not fresh:
        taken.gathering.tell("Taken up again: zero and setting are asked once more, the readings are kept.")
    app.hold(taken)
    return CheckScreen(taken, leave)
