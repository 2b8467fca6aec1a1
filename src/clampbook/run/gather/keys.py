"""The keys of a question: its choices, and what is wanted in so many words. All a face needs for an answer."""

from __future__ import annotations

from typing import Literal

from msgspec import Struct

from clampbook.run.gather.draft import NONE
from clampbook.run.prompts import Choice

PLUS, MENU = "+", "*"
AT = "@"  # the time on a paper form
CROSSED = ("x", "×", "X")  # crossed out there
YES, NO = "1", "2"
BAD_PULL = "bad_pull"  # opens a question, and so acts without Enter
_SHORT = 40  # characters of choices that still fit into one line with the rest
_COMMANDS = ("close", "go", "leave", "start")  # how the meaning of a key begins that is no state
Types = Literal["keys", "text", "number"]


class Keys(Struct, frozen=True):
    """The things that can be typed: choices, each with the answer that it begins; and whether a text or a
    number may stand there instead, which begins as a Value. `wanted` says that in so many words: "the lot".

    `deliberate`: an answer wants its Enter, and nothing typed ahead may give it. `strays`: a number that is no answer
    may have come from a tool, and is kept. `no_number` says what to do with one where none can be. `people`: one of the
    book's people is named, by number or by name.
    """

    choices: tuple[Choice, ...] = ()
    types: Types = "keys"
    wanted: str | None = None
    deliberate: bool = False
    strays: bool = True
    no_number: str = ""
    people: bool = False

    @property
    def numbered(self) -> bool:
        """True where digits are keys of its choices."""
        return any(choice.key.isdecimal() for choice in self.choices)


def chosen(keys: Keys, text: str) -> Choice | None:
    """The choice whose key was typed, or a word that stands for it."""
    typed = text.casefold()
    return next((each for each in keys.choices if typed in (each.key.casefold(), *each.words)), None)


def can_be_typed(keys: Keys) -> str:
    """One sentence that says what can be typed here, and how the menu is opened; long lists are only counted."""
    ways = [(f"Type {keys.wanted}", keys.wanted)] if keys.wanted else []
    ways += [(f"{_verb(choice)} {told}", told) for choice, told in _short(keys)]
    others = f"{MENU} for other actions"
    return f"{', '.join((ways[0][0], *(told for _, told in ways[1:]), others))}." if ways else f"Press {others}."


def listed(keys: Keys) -> tuple[Choice, ...]:
    """The choices that are too long for the line of keys and stand one a line above it."""
    own = tuple(choice for choice in keys.choices if choice.key not in (PLUS, NONE))
    return own if sum(len(choice.text) for choice in own) > _SHORT else ()


def _short(keys: Keys) -> tuple[tuple[Choice, str], ...]:
    """The keys with what they mean; a long list as "1 to 5"."""
    long = listed(keys)
    span = ((long[0], f"{long[0].key} to {long[-1].key}" if len(long) > 1 else long[0].key),) if long else ()
    short = ((choice, f"{choice.key} {_meaning(choice)}") for choice in keys.choices if choice not in long)
    return (*span, *short)


def _verb(choice: Choice) -> str:
    return "Press" if choice.key in (PLUS, NONE) else "Choose"


def _meaning(choice: Choice) -> str:
    """ "for clicked", "for a bad pull", "to go on early"."""
    if choice.value == BAD_PULL:
        return f"for a {choice.text}"
    if choice.text in ("read", "done"):
        return f"when {choice.text}"
    return f"{'to' if choice.text.partition(' ')[0] in _COMMANDS else 'for'} {choice.text}"


def acts_alone(choice: Choice) -> bool:
    """True where its key needs no Enter: it says that an act is done, or only opens a question."""
    return choice.key == PLUS or choice.value == BAD_PULL
