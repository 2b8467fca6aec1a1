"""Help at a question: what this step wants, its keys, its words, and the marks; and how the last positions stand."""

from __future__ import annotations

from clampbook.procedure.cautions import ALWAYS
from clampbook.run import asked
from clampbook.run.acts import menu
from clampbook.run.gather.keys import can_be_typed
from clampbook.run.prompts import (
    Prompt,
)
from clampbook.run.session import Session
from clampbook.run.told import the_round
from clampbook.run.told.last_three import last_three
from clampbook.run.told.marks import MARKS, TO_DO
from clampbook.screens.widgets.map_words import text_equivalent

KEYS = (
    "Enter saves what was typed: a reading, or the number of a choice. An empty Enter answers nothing.",
    "+ or the space bar says that an act is done, such as clicked. After a pull it counts only when one could be done.",
    "- the pull just made was bad: jerk, chatter, slipped socket. It asks what the tool showed; Enter alone: not read.",
    "/ writes a note; * opens the other actions; * 0 and Enter pauses. On a question for a text: * and then Enter.",
    "A key that means nothing at a question leaves no trace there, and no letter acts by itself.",
    "Backspace on an empty field corrects the last answer. Esc goes back, and nothing is changed.",
    "F1 or ? this help; F2 all actions; F3 turns the map; F4 dark or bright.",
    "Ctrl-C, Ctrl-Z or closing the window is a safe pause: each answer is stored before the next question.",
    "A tool that types by itself is taken at its word: its line is a reading, never a key.",
)
_WORDS = {
    "setting tool": "lets go at the torque it was set to, and shows no number: its pull is a click, never a reading.",
    "indicating tool": "shows a torque; what it shows is typed.",
    "window": "where a reading must lie, both ends allowed.",
    "at the bolt": "the torque as the sheet has it; the tool may be in another unit.",
    "zero": "what the tool shows with no load on it.",
    "remainder": "what is left of a turn, from the same mark; a turn is never simply done again.",
    "recheck": "whether it moves; it never takes the place of the reading of the tightening.",
    "concession": "it stays as it is, a second person answers for that, and the record says so.",
    "from the beginning": "loosen fully, look at it, and through every earlier stage of its group again.",
    "hold": "the run stands unfinished, with the reason, and goes on another day.",
    "another person": "somebody who did none of the work in this run.",
}


def help_at(prompt: Prompt, session: Session) -> tuple[str, ...]:
    """Help as lines; one that begins with "# " is a heading."""
    said = asked.words(prompt)
    words = tuple(f"{word}: {_WORDS[word]}" for word in said.terms)
    items = tuple(f"* {item.number}  {item.text}" for item in menu.items(prompt))
    signs = tuple(f"{sign}  {name}" for name, sign in MARKS.items())
    return (
        "# This step",
        said.sentence,
        *asked.under(said, asked.where_of(prompt)),
        can_be_typed(asked.keys(prompt)),
        "",
        "# The map in words",
        *map_in_words(prompt, session),
        *(("", "# Its words", *words) if words else ()),
        "",
        "# Cautions",
        *ALWAYS,
        "",
        "# Keys",
        *KEYS,
        "",
        "# Something else",
        *items,
        "",
        "# Marks",
        f"{TO_DO}  to do",
        *signs,
        "",
        "# The last three positions",
        *last_three(session.progress),
    )


def map_in_words(prompt: Prompt, session: Session) -> tuple[str, ...]:
    """The map as it stands, for whoever hears it or would rather read it."""
    plan, progress = session.plan, session.progress
    fits = {position: group.fits[position] for position, group in plan.group_of.items() if position in group.fits}
    shown, here = the_round.marks(session, prompt), the_round.now(prompt)
    return tuple(text_equivalent(plan.layout, shown, here, progress.quarters, progress.from_below, fits).splitlines())
