"""What each kind of prompt takes from the keyboard.

The line that comes of it is read by the same core as a line of plain mode, so that no rule lives here.
"""

from __future__ import annotations

from clampbook.procedure.model import Ask
from clampbook.procedure.model import Part as Consumable
from clampbook.run import menu
from clampbook.run.draft import Part
from clampbook.run.keys import PLUS, YES, acts_alone, choices, takes_number
from clampbook.run.prompts import (
    Apply,
    Decide,
    Finished,
    Inspect,
    Measure,
    Prompt,
    SetTool,
    SignOff,
    StartSheet,
)
from clampbook.screens.key_meaning import BACK, NOTE, Wanted, of_part


def wanted(prompt: Prompt, part: Part | None) -> Wanted:
    """What is taken at a prompt, or at one question of an answer of several parts."""
    return _of_prompt(prompt) if part is None else of_part(part, deliberate=_deliberate(prompt))


def _of_prompt(prompt: Prompt) -> Wanted:
    own = choices(prompt)
    text, number = _types_text(prompt), _types_number(prompt)
    acts = frozenset(choice.key for choice in own if acts_alone(choice))
    typed = tuple(choice.key for choice in own if choice.key not in acts)
    return Wanted(
        field=text or number or bool(typed) or isinstance(prompt, SignOff),
        text=text,
        at_once=acts if text else acts | {BACK, NOTE},
        keys=None if text or number else typed,
        deliberate=_deliberate(prompt),
        asks_number=number,
    )


def _types_text(prompt: Prompt) -> bool:
    """Whether words are typed, so that no letter and no sign is a key."""
    match prompt:
        case StartSheet(ask=Ask(answer="text")) | StartSheet(part=Consumable(record="lot" | "serial number")):
            return True
        case Apply(lot=lot):
            return lot
        case _:
            return isinstance(prompt, SignOff)


def _types_number(prompt: Prompt) -> bool:
    """Whether a number is typed here, other than that of a choice."""
    match prompt:
        case StartSheet():
            return (
                not _types_text(prompt)
                and takes_number(prompt)
                and not any(choice.key.isdecimal() or choice.key == PLUS for choice in choices(prompt))
            )
        case SetTool() | Measure():
            return True
        case _:
            return menu.is_pull(prompt) and takes_number(prompt) and not _looks_only(prompt)


def _looks_only(prompt: Prompt) -> bool:
    """Whether digits are only keys of choices, as at a recheck with a tool that shows nothing."""
    return any(choice.key == YES for choice in choices(prompt))


def _deliberate(prompt: Prompt) -> bool:
    """Whether an answer wants its Enter, and nothing typed ahead may give it."""
    match prompt:
        case Decide() | SignOff() | Finished():
            return True
        case Inspect(hold_point=hold_point):
            return hold_point
        case _:
            return False
