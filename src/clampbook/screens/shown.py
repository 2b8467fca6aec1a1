"""What a screen shows of a question, as one frozen value: made by pure functions, painted by the walk's screen."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from clampbook.run.draft import BACK, NONE, Part
from clampbook.run.keys import PLUS
from clampbook.run.prompts import Choice
from clampbook.screens.widgets.bottom_line import KeyHint

_SHORT_LABEL = 6  # characters; labels that are their own key and no longer than this stand in one line
_SINGLE_DIGITS = 9
HELP = KeyHint("F1", "help")
ACTIONS = KeyHint("F2", "all actions")
KEEP = KeyHint("Enter", "keep")
BACK_HINT = KeyHint("Esc", "back")


@dataclass(frozen=True, slots=True)
class Figure:
    """A text for the large figures, with what stands beside and below it."""

    text: str
    beside: str = ""
    caption: str = ""


@dataclass(frozen=True, slots=True)
class Item:
    """One line of the start sheet: what is asked, what was answered (None: not yet), and whether it is asked now."""

    name: str
    answer: str | None
    now: bool = False


@dataclass(frozen=True, slots=True)
class Waiting:
    """A wait that runs: counted from `since`."""

    since: datetime
    lasts: timedelta


@dataclass(frozen=True, slots=True)
class Shown:
    """One question on the screen. `field` is what stands before the field, None where nothing is typed as a rule."""

    sentence: str
    hand: Figure | None = None
    position: Figure | None = None
    lines: tuple[str, ...] = ()
    choices: tuple[Choice, ...] = ()
    items: tuple[Item, ...] = ()
    field: str | None = None
    unit: str = ""
    keys: tuple[KeyHint, ...] = ()
    picture: bool = False
    waiting: Waiting | None = None

    def with_keys(self, *keys: KeyHint) -> Shown:
        """The same with more keys behind."""
        return replace(self, keys=(*self.keys, *keys))


def hints(choices: tuple[Choice, ...]) -> tuple[KeyHint, ...]:
    """The keys of choices that stand in the line at the bottom."""
    return tuple(KeyHint(choice.key, choice.text) for choice in choices if choice.key in (PLUS, NONE))


def apart(choices: tuple[Choice, ...]) -> tuple[str, tuple[Choice, ...]]:
    """Labels that are their own key, joined into one line, and the choices that need a line each."""
    bare = tuple(choice.key for choice in choices if choice.key == choice.text and len(choice.key) <= _SHORT_LABEL)
    return "  ".join(bare), tuple(choice for choice in choices if choice.key not in bare)


def of_part(part: Part, keys: tuple[KeyHint, ...] = ()) -> Shown:
    """One question of several."""
    before = {
        "choice": "number",
        "number": "value",
        "line": "number or text" if part.choices else "text",
        "person": "number or name" if part.choices else "name",
        "positions": "positions",
    }[part.kind]
    back = BACK_HINT if part.kind in ("line", "person") else KeyHint(f"Esc or {BACK}", "back")
    typed = part.kind != "choice" or len(part.choices) > _SINGLE_DIGITS
    own = (KEEP,) if typed else (KeyHint("number", "choose"),)
    return Shown(part.text, choices=part.choices, field=before if typed else None, keys=(*keys, *own, back, HELP))
