"""The people of a book: who did what is kept by id, so that two people of one name stay two people."""

from __future__ import annotations

from collections.abc import Sequence
from difflib import get_close_matches

from msgspec import Struct

from clampbook.slug import slug, unique
from clampbook.text import TextFault, clean

MOST_OF_A_NAME = 80  # characters
_CLOSE = 0.65  # one slip in a name of three letters; two in five make another name of it


class Person(Struct, frozen=True):
    """One person: `id` is lower-case and never used for another, `name` is as the person typed it."""

    id: str
    name: str


NOT_NAMED = Person("-", "not named")  # whoever did it: no name stands on the form; nobody's id begins so


def first_of(people: Sequence[Person]) -> Person | None:
    """The one who was named first, if anybody was."""
    return people[0] if people else None


def known_name(typed: str) -> str:
    """A name as it is kept: visible, on one line, single blanks. Raises TextFault."""
    name = " ".join(clean(typed, what="the name", most=MOST_OF_A_NAME).split())
    if not name:
        raise TextFault("the name is missing. Type it")
    return name


def find(people: Sequence[Person], typed: str) -> Person | None:
    """Find the person that a typed name means, without regard to capitals: by name, else by id; None for somebody new.

    Raises TextFault where several people have that name: then only an id tells them apart.
    """
    name = known_name(typed).casefold()
    same = [person for person in people if person.name.casefold() == name]
    if len(same) > 1:
        ids = ", ".join(person.id for person in same)
        raise TextFault(f"several people are called {same[0].name}. Type an id: {ids}")
    return same[0] if same else next((person for person in people if person.id.casefold() == name), None)


def begun_by(people: Sequence[Person], typed: str) -> tuple[Person, ...]:
    """Find all whose name begins so, or who have these initials, with points or without."""
    name = known_name(typed).casefold()
    letters = letters_of(typed)

    def fits(person: Person) -> bool:
        return person.name.casefold().startswith((name, letters)) or letters == initials_of(person)

    return tuple(person for person in people if letters and fits(person))


def initials_of(person: Person) -> str:
    """The initials of a name, in small letters without points."""
    return "".join(word[0] for word in person.name.casefold().split())


def letters_of(typed: str) -> str:
    """Give what was typed as initials, with points or without, in the same way."""
    return known_name(typed).casefold().replace(".", "").replace(" ", "")


def nearest(people: Sequence[Person], typed: str) -> Person | None:
    """Find who of these is called nearly so, by name or id; None where nobody is."""
    called = {each.casefold(): person for person in people for each in (person.id, person.name)}
    close = get_close_matches(known_name(typed).casefold(), called, n=1, cutoff=_CLOSE)
    return called[close[0]] if close else None


def newcomer(people: Sequence[Person], typed: str) -> Person:
    """Somebody new, with an id that nobody has had. Raises TextFault."""
    name = known_name(typed)
    return Person(unique(slug(name, "person"), {person.id for person in people}), name)
