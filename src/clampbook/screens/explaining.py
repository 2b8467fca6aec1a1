"""Help at a question: what this step asks, its keys, words and symbols, and how the last bolts stand."""

from __future__ import annotations

from collections.abc import Iterator

from clampbook.help.words import WORDS
from clampbook.procedure.cautions import ALWAYS
from clampbook.run import asked
from clampbook.run.acts import menu
from clampbook.run.gather.keys import can_be_typed
from clampbook.run.on_form.asked_on_form import HELP, of_a_form
from clampbook.run.prompts import Prompt
from clampbook.run.session import Session
from clampbook.run.told import the_round
from clampbook.run.told.joints import in_words as joints_in_words
from clampbook.run.told.joints import row
from clampbook.run.told.last_three import last_three
from clampbook.run.told.marks import MARKS, TO_DO
from clampbook.run.told.places import fasteners
from clampbook.screens.widgets.map_words import text_equivalent

_PULLED = (
    "+ or the space bar says that an act is done, such as clicked. It does not count sooner than a slow pull takes.",
    "- at a pull: it was bad (jerk, chatter, slipped socket). It asks what the tool showed. Enter: not read.",
)
KEYS = (
    "Enter saves what you typed: a reading, or the number of a choice. On an empty field it answers nothing.",
    *_PULLED,
    "/ writes a note. * opens the other actions, *0 pauses. Where a text is asked for: * and then Enter.",
    "Backspace on an empty field corrects the last answer. Esc goes back, and nothing changes.",
    "F1 or ? help, F2 all actions, F3 turns the map, F4 dark or bright.",
    "Ctrl-C, Ctrl-Z or closing the window pauses safely: every answer is saved before the next question.",
    "A line that a tool types by itself is a reading, never a key.",
)
ON_FORM = (KEYS[0], *HELP, *KEYS[1 + len(_PULLED) :])


def help_at(prompt: Prompt, session: Session) -> tuple[str, ...]:
    """Help as lines; one that begins with "# " is a heading."""
    said = asked.words(prompt)
    words = tuple(f"{word}: {WORDS[word]}" for word in said.terms)
    items = tuple(f"* {item.number}  {menu.called(item, prompt)}" for item in menu.items(prompt))
    return (
        "# This step",
        said.sentence,
        *asked.under(said, asked.where_of(prompt)),
        can_be_typed(asked.keys(prompt)),
        *(("", "# Words", *words) if words else ()),
        "",
        "# Keys",
        *(ON_FORM if of_a_form(prompt) else KEYS),
        "",
        "# Other actions",
        *items,
        "",
        "# The last three bolts",
        *last_three(session.plan, session.progress),
        "",
        "# The map in words",
        *map_in_words(prompt, session),
        "",
        "# Symbols",
        *symbols(),
        "",
        "# Cautions",
        *ALWAYS,
    )


def symbols() -> Iterator[str]:
    """Each symbol once, with all that it stands for."""
    for sign in dict.fromkeys((TO_DO, *MARKS.values())):
        meant = ["to do"] if sign == TO_DO else [name for name, own in MARKS.items() if own == sign]
        yield f"{sign}  {', '.join(meant)}"


def map_in_words(prompt: Prompt, session: Session) -> tuple[str, ...]:
    """The map as it stands, for whoever hears it or would rather read it."""
    plan, progress = session.plan, session.progress
    at_hand, way = the_round.of(session, prompt), (progress.quarters, progress.from_below)
    told = text_equivalent(plan.layout, at_hand.marks, at_hand.now, *way, fasteners(plan), on_form=plan.late)
    return (*joints_in_words(row(session, prompt)), *told.splitlines())
