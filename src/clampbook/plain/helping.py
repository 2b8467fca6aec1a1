"""Help at a prompt: what the step asks, what can be typed, and how the last bolts stand."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from clampbook.run import asked
from clampbook.run.acts import menu
from clampbook.run.gather.keys import can_be_typed
from clampbook.run.on_form.asked_on_form import HELP, of_a_form
from clampbook.run.prompts import Prompt
from clampbook.run.session import Session
from clampbook.run.told.breaks import after_a_break
from clampbook.run.told.last_three import last_three

ANYWHERE = (  # in a walk and in a check
    "/ and a text writes a note.",
    "pause stops for now. Every answer is saved.",
    "? shows this help.",
)
KEYS = (
    "+ or the space bar, then Enter, says that an act is done. It never answers what is seen or judged.",
    "- at a pull: it was bad (jerk, chatter, slipped socket). Then type what the tool showed, or type - 24.5 at once.",
    "* opens the other actions, *3 does the one with that number. Within an answer * goes back.",
    *ANYWHERE,
)


ON_FORM = (*HELP, *KEYS[2:])


def help_at(prompt: Prompt) -> tuple[str, ...]:
    """Help at a prompt: what it asks for, the keys, and the menu as it is here."""
    lines = tuple(f"*{item.number} {item.text}" for item in menu.items(prompt))
    said = asked.words(prompt)
    told = (said.sentence, *asked.under(said, asked.where_of(prompt)))
    return (*told, can_be_typed(asked.keys(prompt)), *(ON_FORM if of_a_form(prompt) else KEYS), *lines)


def taken_up_again(before: Mapping[str, Any], resumed: Mapping[str, Any], session: Session) -> tuple[str, ...]:
    """Tell somebody who comes back where they stand: who stopped and when, what was torn, and the last bolts.

    `before` and `resumed` are the fields of the last line before and of the one that this start has written.
    """
    who = next((person.name for person in session.people if person.id == before["by"]), before["by"])
    answered = before.get("typed_at") or before["at"]  # of a form when it was typed, not what stands there
    lines = [f"Last answer: {answered[:16].replace('T', ' ')} UTC, {who}."]
    return (*lines, *after_a_break(resumed), *last_three(session.plan, session.progress))
