"""The questions before a paper form is typed in: its revision, and its first day and time."""

from __future__ import annotations

from collections.abc import Sequence

from clampbook.people import Person
from clampbook.run.gather.asking import NOBODY, numbered, people_listed
from clampbook.run.gather.draft import NONE, Part
from clampbook.run.on_form.times import BEGINNING, WHEN_IT_BEGINS
from clampbook.run.prompts import Choice
from clampbook.text import started

FORM, OTHER, BEGAN, DONE_BY, SCAN = "form", "other form", "began", "done by", "scan"
YES, NO = "yes", "no"


def this_revision(told: str) -> Part:
    """Ask whether the revision at hand is that of the form."""
    return Part(FORM, f"{started(told)}: is that at the foot of the form?", "choice", numbered({YES: YES, NO: NO}))


def other_revision(told: Sequence[str]) -> Part:
    """Ask which of the others it is, if any; each answer is its place in the list."""
    listed = numbered({str(place): each for place, each in enumerate(told)})
    return Part(OTHER, "Which stands there?", "choice", (*listed, Choice(NONE, "none of these", NONE)))


def beginning() -> Part:
    """Ask for the day and time at which it begins."""
    return Part(BEGAN, f"{WHEN_IT_BEGINS} {BEGINNING}", "line")


def hands(people: tuple[Person, ...], *, further: bool = False) -> Part:
    """Ask who stands at its head as having done the work, line by line; Enter after the last."""
    if further:
        none = Choice(NONE, "no other name stands there", NOBODY)
        told = "Whose name stands next at “Done by”? Enter after the last."
        return Part(DONE_BY, told, "person", (*people_listed(people), none), people, enter=NONE)
    none = Choice(NONE, "no name stands there", NOBODY)
    return Part(DONE_BY, "Whose name stands at “Done by”?", "person", (*people_listed(people), none), people)


def scan(*, another: bool) -> Part:
    """Ask for the file of a scan, or for one more."""
    told = "Another scan? Type the path of its file." if another else "A scan of the form? Type the path of its file."
    return Part(SCAN, told, "line", (Choice(NONE, "no other scan" if another else "no scan", NONE),))
