"""The person that a name on the command line means: one that is new in the book is asked about, with the nearest
that is known.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from clampbook.commands.options import say

if TYPE_CHECKING:
    from clampbook.book.book import Book
    from clampbook.people import Person
    from clampbook.plain.lines import Lines


def name_meant(book: Book, typed: str, lines: Lines, *, new: bool) -> str:
    """The name of somebody who is known, or of somebody new whom a person confirmed (`new`: in the command itself).

    Raises KeyFault where nobody did, TextFault for what is no name.
    """
    from clampbook.people import find, known_name, nearest

    people = book.people()
    if new or not people or find(people, typed) is not None:
        return typed
    name, near = known_name(typed), nearest(people, typed)
    ways: dict[str, str] = {
        str(n): way for n, way in enumerate([*((near.name,) if near is not None else ()), name], start=1)
    }
    listed = (f"{n} {way}{', somebody new' if way == name else ''}" for n, way in ways.items())
    say(f"{name} is new in this book. Who is meant? Type the number.", *listed)
    answer = (lines.read() or "").strip()
    if answer in ways:
        return ways[answer]
    raise _not_meant(name, near)


def _not_meant(name: str, near: Person | None) -> Exception:
    from clampbook.signing.wire import KeyFault

    nearest = f" Did you mean {near.name}?" if near is not None else ""
    return KeyFault(f"{name} is new in this book, and nothing was done.{nearest} For somebody new say --new")


def known_person(book: Book, named: str) -> Person:
    """Somebody of the book. Raises KeyFault or TextFault."""
    from clampbook.people import find, nearest
    from clampbook.signing.wire import KeyFault

    people = book.people()
    found = find(people, named)
    if found is None:
        near = nearest(people, named)
        known = ", ".join(person.name for person in people) or "nobody yet"
        meant = f"; did you mean {near.name}?" if near is not None else f"; there is: {known}"
        raise KeyFault(f"there is nobody called {named} in this book{meant}")
    return found
