"""Names that a book does not know: each is asked about once, as a slip of the hand would make two people of one."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from clampbook.people import Person, begun_by, find, known_name, nearest
from clampbook.run.prompts import Choice

if TYPE_CHECKING:
    from clampbook.run.gather.draft import Part

MEANT = "meant"
NEW, AGAIN = "a new person", "type it again"  # with blanks, which no id has


def asked_about(part: Part, typed: str) -> Part | None:
    """Give the question that a typed name brings, with the nearest known; None for somebody whom the book knows, and
    where it knows nobody yet. Raises TextFault for what is no name, or that of several people.
    """
    if not part.people or find(part.people, typed) is not None:
        return None
    name, near = known_name(typed), _meant(part, typed)
    if len(near) > 1:
        text = f"{name} is new here. Whom did you mean?"
        known = tuple((str(n), each.name, each.id) for n, each in enumerate(near, 1))
        ways = (*known, (str(len(near) + 1), f"none of these, add {name} as a new person", NEW))
    elif near:
        text = f"{name} is new here. Did you mean {near[0].name}?"
        ways = (("1", f"yes, {near[0].name}", near[0].id), ("2", f"no, add {name} as a new person", NEW))
    else:
        text = f"{name} is new here. Add {name} as a new person?"
        ways = (("1", f"yes, add {name}", NEW), ("2", "no, type the name again", AGAIN))
    choices = tuple(Choice(*way) for way in ways)
    return replace(part, name=MEANT, text=text, kind="choice", choices=choices, enter="", about=part, typed=name)


def _meant(part: Part, typed: str) -> tuple[Person, ...]:
    """All who may be meant: those whose name or initials begin so, else the one who is called nearly so."""
    begun = begun_by(part.people, typed)
    near = None if begun else nearest(part.people, typed)
    return begun if near is None else (near,)
