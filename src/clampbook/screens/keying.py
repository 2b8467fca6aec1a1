"""The keys that each kind of prompt takes.

The line that comes of it is read by the same core as a line of plain mode, so that no rule lives here.
"""

from __future__ import annotations

from clampbook.run import asked
from clampbook.run.acts.at_hand import is_pull
from clampbook.run.gather.draft import Part
from clampbook.run.gather.keys import AT, CROSSED, acts_alone
from clampbook.run.on_form.asked_on_form import of_a_form
from clampbook.run.prompts import Prompt
from clampbook.screens.key_meaning import BACK, NOTE, Wanted, of_part


def wanted(prompt: Prompt, part: Part | None) -> Wanted:
    """Give what is taken at a prompt, or at one question of an answer of several parts."""
    if part is None:
        return _of_prompt(prompt)
    return of_part(part, deliberate=asked.keys(prompt).deliberate, copying=of_a_form(prompt))


def _of_prompt(prompt: Prompt) -> Wanted:
    keys = asked.keys(prompt)
    text, number = keys.types == "text", keys.types == "number"
    acts = frozenset(choice.key for choice in keys.choices if acts_alone(choice))
    typed = tuple(choice.key for choice in keys.choices if choice.key not in acts)
    return Wanted(
        field=text or number or bool(typed),
        text=text,
        at_once=acts if text else acts | {BACK, NOTE},
        keys=None if text or number else typed,
        deliberate=keys.deliberate,
        asks_number=number,
        copying=of_a_form(prompt),
        opens=(AT, *(CROSSED if is_pull(prompt) else ())) if of_a_form(prompt) else (),
    )
