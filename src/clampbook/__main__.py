"""The start of the program: at the bench at once where nothing else is asked for, else with the command line.

Reading a command line takes longer than looking whether there is one, and the bench is wanted quickly.
"""

from __future__ import annotations

import os
import sys
from pathlib import Path

from clampbook.streams import guard

INTERRUPTED = 130
COMPLETION = "_CLAMPBOOK_COMPLETE"  # a shell asks through it, on a terminal too


def main() -> None:
    """Run what the command line asks for, and leave with its exit status."""
    guard()
    try:
        status = _status()
        _not_again()
    except KeyboardInterrupt:
        status = INTERRUPTED
        _not_again()
    sys.exit(status)


def _status() -> int:
    folder = _only_a_book(sys.argv[1:])
    status = _at_once(folder) if folder is not None else None
    if status is not None:
        return status
    from clampbook.cli import status as of_the_commands

    return of_the_commands()


def _not_again() -> None:
    """Ctrl-C once more while the interpreter puts its things away has nothing left to stop."""
    import signal

    signal.signal(signal.SIGINT, signal.SIG_IGN)


def _only_a_book(arguments: list[str]) -> Path | None:
    """The folder of the book, where nothing but that is said; None where there is more to read."""
    match arguments:
        case _ if COMPLETION in os.environ:
            return None
        case []:
            from clampbook.book.book import default_folder

            return default_folder()
        case ["--book", folder] if not folder.startswith("-"):
            return Path(folder)
        case _:
            return None


def _at_once(folder: Path) -> int | None:
    """The exit status of the bench; None where there is no book, or no screen to draw it on."""
    from clampbook.book.book import BOOK, Book
    from clampbook.commands.on_screen import at_the_bench, is_a_screen

    if not is_a_screen() or not (folder / BOOK).is_file():
        return None
    try:
        from clampbook.book.mending import mend

        book = Book.open(folder)
        for sentence in mend(book):
            print(sentence, file=sys.stderr, flush=True)
        return at_the_bench(book)
    except Exception as error:
        from clampbook.cli import told

        return told(error)


if __name__ == "__main__":
    main()
