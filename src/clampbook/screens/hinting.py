"""The keys in the line at the bottom, and what stands before the field, at a question with choices."""

from __future__ import annotations

from collections.abc import Sequence

from clampbook.screens.key_meaning import BACK, Asked
from clampbook.screens.widgets.bottom_line import KeyHint

HELP = KeyHint("F1", "help")
ACTIONS = KeyHint("F2", "all actions")
KEEP = KeyHint("Enter", "keep")
BACK_HINT = KeyHint("Esc", "back")
CHOOSE_THEN_ENTER = KeyHint("number, then Enter", "choose")
PERSON_THEN_ENTER = KeyHint("number or name, then Enter", "choose")


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
            return "positions"


def keys_of(asked: Asked) -> tuple[KeyHint, ...]:
    """The keys in use at it."""
    own = KEEP
    alone = next((choice.text for choice in asked.choices if choice.key and choice.key == asked.enter), None)
    if alone is not None:
        own = KeyHint("Enter alone", alone)
    elif asked.kind == "choice":
        own = CHOOSE_THEN_ENTER
    elif asked.kind == "person" and asked.choices:
        own = PERSON_THEN_ENTER
    back = BACK_HINT if asked.kind in ("line", "person") else KeyHint(f"Esc or {BACK}", "back")
    return (own, back, HELP)
