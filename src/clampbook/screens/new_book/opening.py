"""From no book to the bench of one: the first page, with what it opens."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from clampbook.screens.new_book.first_page import FirstPage

if TYPE_CHECKING:
    from clampbook.book.book import Book
    from clampbook.ledger.stamp import Clock
    from clampbook.screens.app import Clampbook


def first_page(
    app: Clampbook,
    usual: Path,
    demo: Callable[[], Book],
    opened: Callable[[Book], None] = lambda _: None,
    clock: Clock | None = None,
) -> FirstPage:
    """The first page where there is no book in the `usual` folder. `demo` gives the demo book, or raises LedgerFault;
    `opened` is told which book is opened from here."""

    from clampbook.ledger.stamp import SystemClock

    def open_bench(book: Book, told: str) -> None:
        from clampbook.screens.at_the_bench import bench

        opened(book)
        at = bench(app, book, clock)
        at.notice = told
        app.push_screen(at)

    return FirstPage(usual, demo, open_bench, app.exit, clock or SystemClock())
