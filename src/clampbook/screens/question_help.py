"""Help at a question of a screen: what is asked, which keys answer it, and what happens then."""

from __future__ import annotations

from collections.abc import Sequence

from clampbook.screens.key_meaning import HELP, Asked, Wanted
from clampbook.screens.widgets.bottom_line import KeyHint

_ALWAYS = ("F1 help, F2 all actions, F4 dark or bright. Ctrl-C quits.",)
_TOLD = frozenset({"Enter", "F1", "F2"})  # keys that the other lines tell of


def help_at(asked: Asked, want: Wanted, keys: Sequence[KeyHint], then: Sequence[str]) -> tuple[str, ...]:
    """Help as lines; one that begins with "# " is a heading. `then` is what happens once it is answered."""
    listed = tuple(f"{choice.key}  {choice.text}" for choice in asked.choices)
    return (
        "# This question",
        asked.text,
        *(("", "# Choices", *listed) if listed else ()),
        "",
        "# Keys",
        *_how(asked, want),
        *(f"{hint.key}: {hint.text}" for hint in keys if hint.key not in _TOLD and hint.text != "choose"),
        _on_an_empty_field(keys),
        *_ALWAYS,
        *(("", "# Next", *then) if then else ()),
    )


def _on_an_empty_field(keys: Sequence[KeyHint]) -> str:
    """Tell what Enter alone does only where no key of the question has said it."""
    answers = any(hint.key == "Enter alone" for hint in keys)
    clears = "Ctrl-U clears the field."
    return clears if answers else f"{clears} Enter on an empty field answers nothing."


def _how(asked: Asked, want: Wanted) -> tuple[str, ...]:
    """Tell how an answer is given, and what a list adds to that."""
    if want.text:
        own = "Type it, then press Enter." if not asked.choices else "Type it, or choose a number, then press Enter."
        return (own, f"{HELP} is typed here too. F1 is help.")
    if not asked.choices:
        return ("Type it, then press Enter.",)
    return ("Type its number, or choose with ↑↓, then press Enter.",)
