"""The keys in the line at the bottom, and what stands before the field, at a question with choices."""

from __future__ import annotations

from collections.abc import Sequence

from clampbook.run.gather.draft import JOINTS
from clampbook.screens.key_meaning import BACK, Asked
from clampbook.screens.widgets.bottom_line import KeyHint

HELP = KeyHint("F1", "help")
ACTIONS = KeyHint("F2", "actions")
CHOOSES, UP_DOWN = "choose", "↑↓"
KEEP = KeyHint("Enter", "save")
GO_ON = KeyHint("Enter", "go on")  # where nothing is saved yet
CORRECT_HINT = KeyHint("Bksp", "correct")
ANYWHERE = (KeyHint("/", "note"), KeyHint(BACK, "other"))  # beside answering
BACK_HINT = KeyHint("Esc", "back")
BEFORE_WORDS = ".,"  # before what is typed: it is words, even where it is a number of the list


def choose(keys: Sequence[str], *, or_type: str = UP_DOWN, enter: KeyHint = KEEP) -> tuple[KeyHint, ...]:
    """The keys that choose from a list: "1–5 or ↑↓ choose", "Enter save"."""
    numbers = [key for key in keys if key.isdecimal()]
    span = f"{numbers[0]}–{numbers[-1]}" if len(numbers) > 1 else "".join(numbers) or "number"
    return (KeyHint(f"{span} or {or_type}", CHOOSES), enter)


def among(keys: Sequence[str]) -> str:
    """Say what can be chosen where something else was typed."""
    last = max((int(key) for key in keys if key.isdecimal()), default=0)
    return "Choose 1." if last == 1 else f"Choose 1 to {last}."


def before_field(asked: Asked) -> str:
    """Give the word that stands before the field."""
    match asked.kind:
        case "choice":
            return "number"
        case "number":
            return "value"
        case "line":
            return "number or text" if asked.choices else "text"
        case "person":
            return "number or name" if asked.choices else "name"
        case "positions":
            return "joints" if asked.name == JOINTS else "positions"


def keys_of(asked: Asked, enter: KeyHint = KEEP) -> tuple[KeyHint, ...]:
    """The keys in use at it; `enter` says what Enter does there."""
    own: tuple[KeyHint, ...] = (enter,)
    alone = next((choice.text for choice in asked.choices if choice.key and choice.key == asked.enter), None)
    if alone is not None:
        own = (KeyHint("Enter alone", alone),)
    elif asked.kind == "choice":
        own = choose(tuple(choice.key for choice in asked.choices), enter=enter)
    elif asked.kind == "person" and asked.choices:
        own = choose(tuple(choice.key for choice in asked.choices), or_type="a name", enter=enter)
    back = BACK_HINT if asked.kind in ("line", "person") else KeyHint(f"Esc or {BACK}", "back")
    return (*own, back, HELP)
