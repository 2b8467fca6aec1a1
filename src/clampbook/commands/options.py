"""Options that many commands share, and the book that they name."""

from __future__ import annotations

import os
import shlex
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

if TYPE_CHECKING:
    from clampbook.book.book import Book
    from clampbook.ledger.stamp import Clock, There

Command = TypeVar("Command", bound=Callable[..., Any])


class Unforeseen(Exception):  # noqa: N818 - carries the error that nobody foresaw
    """Something that the program did not foresee; `daybook` is where everything answered so far is stored."""

    def __init__(self, error: BaseException, daybook: Path) -> None:
        super().__init__(str(error))
        self.error = error
        self.daybook = daybook


def book_option(command: Command) -> Command:
    """--book DIR."""
    return click.option(
        "--book",
        "folder",
        type=click.Path(path_type=Path, file_okay=False),
        metavar="DIR",
        help="Use the book in this folder, not the one in your data folder",
    )(command)


def named_before() -> Path | None:
    """The folder given with --book before the name of the command, which means the same as after it."""
    context = click.get_current_context(silent=True)
    return None if context is None else context.find_root().params.get("folder")


def named_in(context: click.Context) -> Path | None:
    """The folder given with --book, before the name of the command or after it."""
    return context.params.get("folder") or context.find_root().params.get("folder")


def in_this_book(book: Book) -> str:
    """Give the words that name the book in a command to be copied; none for the one in the user's data folder."""
    from clampbook.book.book import default_folder

    return "" if book.root == default_folder() else f" --book {shlex.quote(str(book.root))}"


def said_to_be_alone() -> bool:
    """True where --alone was said before the name of the command."""
    context = click.get_current_context(silent=True)
    return context is not None and bool(context.find_root().params.get("alone"))


def new_option(command: Command) -> Command:
    """--new-person."""
    told = "The name is that of a new person. Do not ask"
    return click.option("--new-person", "new", is_flag=True, help=told)(command)


def json_option(command: Command) -> Command:
    """--json."""
    return click.option("--json", "as_json", is_flag=True, help="Print one JSON object")(command)


def paper_option(command: Command) -> Command:
    """--paper a4 or letter; None where nobody says, and then a book prints on its own."""
    return click.option(
        "--paper",
        type=click.Choice(("a4", "letter")),
        help="Paper size, if not that of the book",
    )(command)


def example(words: str) -> str:
    """Give the end of a command's help: a line that can be typed as it stands."""
    return f"\b\nExample:\n  clampbook {words}"  # \b: a line that is copied is never broken


def say(*lines: str) -> None:
    """Talk, on standard error; folded to the width of a terminal."""
    from clampbook.commands.folding import folded

    for line in folded(lines) if sys.stderr.isatty() else lines:
        print(line, file=sys.stderr, flush=True)


@contextmanager
def telling_where_stopped(told: Callable[[], str]) -> Iterator[None]:
    """Long work that Ctrl-C ends with a sentence of how far it came; the status stays that of something stopped."""
    try:
        yield
    except KeyboardInterrupt:
        say("", told())
        raise


def today() -> date:
    """The day at this place, by the clock of the machine or the one that was handed in. Raises UsageError."""
    return now().date()


def now() -> datetime:
    """The time at this place, by the same clock. Raises UsageError."""
    return clock_said().now()


def there() -> There:
    """Give a time without an offset that of this place on its day, by the same clock. Raises UsageError."""
    from clampbook.ledger.stamp import there_at

    return there_at(clock_said())


def clock_said() -> Clock:
    """The clock of the machine, or the one that was handed in. Raises UsageError where that is none."""
    from clampbook.plain.clock import NAME, clock_of

    try:
        return clock_of(os.environ.get(NAME))
    except ValueError as error:
        raise click.UsageError(str(error)) from error


def as_it_lies(folder: Path | None) -> Book:
    """The book of a command that only looks: nothing in it is mended. Raises LedgerFault or Faulty."""
    from clampbook.book.book import Book, default_folder

    return Book.open(folder or named_before() or default_folder())


def open_book(folder: Path | None, *, alone: bool = False) -> Book:
    """The book of a command; a folder that is none stays as it is.

    What a crash left half done in it is finished first, and told. Raises LedgerFault or Faulty.
    """
    from clampbook.book.book import Book, default_folder
    from clampbook.book.mending import mend

    alone = alone or said_to_be_alone()
    place = folder or named_before() or default_folder()
    book = Book.open(place, alone=alone)
    say(*mend(book))
    return book
