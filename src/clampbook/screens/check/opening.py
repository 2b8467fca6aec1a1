"""From an open check of a book to a check in hand on the screen."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from textual.screen import Screen

from clampbook.ledger.refusals import LedgerFault
from clampbook.screens.beginning import Beginning
from clampbook.screens.check.screen import CheckScreen
from clampbook.screens.check.taken import CheckTaken
from clampbook.screens.settled import Settled

if TYPE_CHECKING:
    from clampbook.book.book import Book
    from clampbook.check.folder import CheckFolder
    from clampbook.ledger.stamp import Clock
    from clampbook.people import Person
    from clampbook.screens.app import Clampbook


def first(
    app: Clampbook,
    book: Book,
    title: str,
    opened: Callable[[Person], CheckFolder],
    person: Person | None,
    clock: Clock,
    *,
    fresh: bool,
) -> Screen[None]:
    """The check as the first screen, or the question who is there before it; the program ends with it.

    `opened` gives the check's folder once the person is known. Raises LedgerFault, LockHeld.
    """
    if person is not None:
        return _in_hand(app, book, opened(person), person, clock, fresh, app.walked)

    def begun(settled: Settled | None) -> None:
        if settled is None or settled.person is None:
            app.walked()
            return
        try:
            check = opened(settled.person)
            app.push_screen(_in_hand(app, book, check, settled.person, clock, fresh, app.walked))
        except LedgerFault as fault:
            app.screen.tell(fault.sentence)  # type: ignore[attr-defined]

    return Beginning(Settled(title), book.people(), book.person_named, begun)


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
        taken.gathering.tell("Resumed. Zero and setting are asked again. The readings are saved.")
    app.hold(taken)
    return CheckScreen(taken, leave)
