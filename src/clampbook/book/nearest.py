"""The book that was meant where a folder holds none: with a name like it, a folder below, or one around it."""

from __future__ import annotations

import shlex
from difflib import get_close_matches
from pathlib import Path

from clampbook.text import printable

_COVER = "book.toml"


def no_book_in(folder: Path, usual: Path) -> str:
    """Say that a folder is no book, name the one that was probably meant, and how one is made. `usual` is where the
    book lies when nobody says otherwise."""
    said = f"no book in {_shown(folder)}"
    made = "clampbook new" if folder == usual else f"clampbook new {_typed(folder)}"
    meant = nearest(folder)
    if meant is not None:
        return f"{said}. Did you mean --book {_typed(meant)}? To make a new one: {made}"
    if folder != usual and _is_book(usual):
        return f"{said}. Your own book is in {_shown(usual)}: leave out --book. To make a new one: {made}"
    return f"{said}. Make one: {made}. Look at the demo: clampbook demo"


def no_other_book_in(folder: Path) -> str:
    """Say the same of a book that is only read, such as one that is merged: nobody wants a new one there."""
    meant = nearest(folder)
    told = f"Did you mean {_typed(meant)}?" if meant is not None else "Give the folder with its book.toml"
    return f"no book in {_shown(folder)}. {told}"


def nearest(folder: Path) -> Path | None:
    """The nearest folder that is a book: around this one, in it, or with a name like it; None where there is none."""
    try:
        return _around(folder) or _below(folder) or _alike(folder)
    except OSError:  # a folder that may not be read tells nothing
        return None


def _around(folder: Path) -> Path | None:
    return next((each for each in folder.absolute().parents if _is_book(each)), None)


def _below(folder: Path) -> Path | None:
    books = [each for each in folder.iterdir() if _is_book(each)] if folder.is_dir() else []
    return books[0] if len(books) == 1 else None


def _alike(folder: Path) -> Path | None:
    """With one part of its path mistyped: the first that is not there, the rest as it was written."""
    missing = folder.absolute()
    while not missing.parent.is_dir():
        missing = missing.parent
    rest = folder.absolute().relative_to(missing)
    books = {each.name: each / rest for each in missing.parent.iterdir() if _is_book(each / rest)}
    return next((books[name] for name in get_close_matches(missing.name, books, n=1)), None)


def _is_book(folder: Path) -> bool:
    return (folder / _COVER).is_file()


def _shown(folder: Path) -> str:
    return f"'{printable(str(folder))}'"


def _typed(folder: Path) -> str:
    """The folder as it is typed in a command."""
    return printable(shlex.quote(str(folder)))
