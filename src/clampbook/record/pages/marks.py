"""The mark beside each word of an outcome, as on the screen, and how it looks in a chart."""

from __future__ import annotations

from clampbook.record.pages.blocks import Look
from clampbook.record.pages.telling import Row
from clampbook.run.fold.acts import ALIGNED, AT_THE_SLOT, BY_THE_MARK, CLICKED, CONFIRMED, TOO_FAR_APART, UNKNOWN
from clampbook.run.told.marks import MARKS, TO_DO

_MARK_OF = {
    "within": MARKS["within"],
    "under": MARKS["under"],
    "over": MARKS["over"],
    "clicked": MARKS["clicked"],
    "confirmed together": MARKS["confirmed"],
    "by the mark": MARKS["confirmed"],
    ALIGNED: MARKS["confirmed"],
    AT_THE_SLOT: MARKS["confirmed"],
    "by concession": MARKS["concession"],
    "concession": MARKS["concession"],
    "void": MARKS["void"],
    "bad pull": MARKS["void"],
    "unknown": MARKS["unknown"],
    "mark lost": MARKS["unknown"],
    "skipped": MARKS["skipped"],
    "moved": MARKS["moved"],
    "no movement": MARKS["confirmed"],
    "no movement yet": TO_DO,
    "backed off": MARKS["loosened"],
    "broken": MARKS["broken"],
    "stripped": MARKS["broken"],
    "to do again": MARKS["to do again"],
    "to do": TO_DO,
    TOO_FAR_APART: MARKS[TOO_FAR_APART],
}
COLOURED = frozenset(MARKS[outcome] for outcome in ("under", "over", "concession", "broken"))
_LOOKS: dict[str, Look] = {
    "within": "within",
    "under": "under",
    "over": "over",
    TOO_FAR_APART: "wrong",
    "by concession": "concession",
}


# What says how far it was pulled or turned; a look, and a nut that was at its slot already, leave that as it was.
_TELLS = ("within", CLICKED, CONFIRMED, BY_THE_MARK, AT_THE_SLOT)


def marked(word: str) -> str:
    """The word with its mark in front, where it has one."""
    mark = _MARK_OF.get(word)
    return word if mark is None else f"{mark}\u00a0{word}"


def outcome(row: Row) -> str:
    """The outcome of a pull with its mark, and a question mark behind where its tool is in question."""
    in_question = " ?" if row.get("in_question_at_lines") else ""
    return f"{marked(row['outcome'])}{in_question}"


def look(row: Row) -> Look | None:
    """Give the look of a reading in a chart; None where nothing was judged. At a recheck still or moved says nothing
    of it."""
    return _LOOKS.get(row["outcome"]) or _LOOKS.get(row.get("verdict", ""))


def state(word: str, outcomes: dict[str, str]) -> str:
    """The mark's word for a whole position, of its outcomes in the order of the plan: what must be looked at comes
    before what is well, and of that the last step tells whether there is a reading."""
    if word == UNKNOWN and "over" in outcomes.values():  # that one step is not known hides no other
        return "over"
    if word in _MARK_OF and word not in ("to do", "to do again"):
        return word
    found = set(outcomes.values())
    for grave in ("over", "under", TOO_FAR_APART, "moved", "backed off", "to do again", "to do", "by concession"):
        if grave in found:
            return grave
    told = [each for each in outcomes.values() if each in _TELLS]
    return "within" if told and told[-1] == "within" else "clicked"


def sign(word: str) -> str:
    """The mark alone."""
    return _MARK_OF.get(word, "")
