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

NEW = "--new-person"


def who_is_meant(book: Book, typed: str, lines: Lines, *, new: bool) -> Person | None:
    """Give whom a typed name means; None for somebody new whom a person confirmed, in the command itself (`new`,
    the option NEW) or by an answer.

    Raises KeyFault where nobody did, TextFault for what is no name, or that of several people.
    """
    from clampbook.people import find
    from clampbook.run.gather.draft import Part
    from clampbook.run.gather.newcomers import NEW as SOMEBODY_NEW
    from clampbook.run.gather.newcomers import asked_about
    from clampbook.signing.wire import KeyFault

    people = book.people()
    question = None if new else asked_about(Part("who", "", "person", people=people), typed)
    if question is None:
        return find(people, typed)
    say(f"{question.text} Type the number.", *(f"{choice.key} {choice.text}" for choice in question.choices))
    answer = (lines.read() or "").strip()
    chosen = next((choice.value for choice in question.choices if choice.key == answer), None)
    known = next((person for person in people if person.id == chosen), None)
    if known is None and chosen != SOMEBODY_NEW:
        raise KeyFault(f"{question.typed} is new here, and nothing was done. For somebody new say {NEW}")
    return known


def person_meant(book: Book, typed: str, lines: Lines, *, new: bool) -> Person:
    """Give the same; somebody new gets an entry in the book. Raises as `who_is_meant` does, and LedgerFault."""
    return who_is_meant(book, typed, lines, new=new) or book.person_named(typed)


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
