"""The keys in the line at the bottom, and what stands before the field, at a question with choices."""

from __future__ import annotations

from clampbook.screens.meaning import BACK, Asked
from clampbook.screens.widgets.bottom_line import KeyHint

_SINGLE_DIGITS = 9
HELP = KeyHint("F1", "help")
ACTIONS = KeyHint("F2", "all actions")
KEEP = KeyHint("Enter", "keep")
BACK_HINT = KeyHint("Esc", "back")
CHOOSE = KeyHint("number", "choose")
CHOOSE_THEN_ENTER = KeyHint("number, then Enter", "choose")
PERSON_THEN_ENTER = KeyHint("number or name, then Enter", "choose")


def before_field(asked: Asked, *, deliberate: bool = False) -> str | None:
    """What stands before the field; None where a single key answers."""
    match asked.kind:
        case "choice":
            return "number" if deliberate or len(asked.choices) > _SINGLE_DIGITS else None
        case "number":
            return "value"
        case "line":
            return "number or text" if asked.choices else "text"
        case "person":
            return "number or name" if asked.choices else "name"
        case "positions":
            return "positions"


def keys_of(asked: Asked, *, deliberate: bool = False) -> tuple[KeyHint, ...]:
    """The keys in use at it; `deliberate`: much hangs on it, so that a number alone is no answer."""
    own = CHOOSE if before_field(asked) is None else KEEP
    if deliberate and asked.kind == "choice":
        own = CHOOSE_THEN_ENTER
    elif deliberate and asked.kind == "person" and asked.choices:
        own = PERSON_THEN_ENTER
    back = BACK_HINT if asked.kind in ("line", "person") else KeyHint(f"Esc or {BACK}", "back")
    return (own, back, HELP)
