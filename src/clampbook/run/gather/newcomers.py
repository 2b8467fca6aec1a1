"""Names that a book does not know: each is asked about once, as a slip of the hand would make two people of one."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from clampbook.people import find, known_name, nearest
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
    name, near = known_name(typed), nearest(part.people, typed)
    if near is not None:
        text = f"{name} is new here. Did you mean {near.name}?"
        ways = (("1", f"yes, {near.name}", near.id), ("2", f"no, add {name} as a new person", NEW))
    else:
        text = f"{name} is new here. Add {name} as a new person?"
        ways = (("1", f"yes, add {name}", NEW), ("2", "no, type the name again", AGAIN))
    choices = tuple(Choice(*way) for way in ways)
    return replace(part, name=MEANT, text=text, kind="choice", choices=choices, enter="", about=part, typed=name)
