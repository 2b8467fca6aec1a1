"""The meaning of a key on an empty field or a filled one: typed, an act by itself, back, or help. Pure; no clock.

Knows nothing of the questions themselves, so that the bench need not load them.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Literal, Protocol

from msgspec import Struct

BACK, NOTE, HELP, CORRECT = "*", "/", "?", "* 1"
_PLUS = "+"
_NUMBER = ".,-−"  # signs that begin a number, beside digits
_NEVER_IN_A_NUMBER = "+?/"  # nor in a unit
_DELIBERATE = frozenset({"sure", "meant"})  # questions that nothing typed ahead answers
_WORDS = re.compile(r"[\s,;]+")  # between positions


class Row(Protocol):
    """One of several answers: the key that stands for it and what it means."""

    @property
    def key(self) -> str: ...

    @property
    def text(self) -> str: ...


class Asked(Protocol):
    """One question of several, such as a part of an answer of the core."""

    @property
    def name(self) -> str: ...

    @property
    def text(self) -> str: ...

    @property
    def kind(self) -> Literal["line", "number", "person", "choice", "positions"]: ...

    @property
    def choices(self) -> Sequence[Row]: ...

    @property
    def enter(self) -> str: ...


class Wanted(Struct, frozen=True):
    """The keys that the question at hand takes. `at_once` are signs that act by themselves on an empty field: they
    say that an act is done, or open a question. All else is typed, and ends with Enter.

    `field`: something can be typed. `text`: every sign but those `at_once` is typed, and function keys act. `keys`:
    those of the list at hand, None where numbers are typed. `deliberate`: nothing that was typed ahead
    answers.
    """

    field: bool = False
    text: bool = False
    at_once: frozenset[str] = frozenset()
    keys: tuple[str, ...] | None = None
    deliberate: bool = False
    part: bool = False
    asks_number: bool = False  # a line from a tool answers it
    copying: bool = False  # what stands on a paper form: its rows are ringed as quickly as they are read
    opens: tuple[str, ...] = ()  # signs that begin a line of its own, of which every further sign is typed


class Typed(Struct, frozen=True):
    """The field holds this now."""

    field: str


class Line(Struct, frozen=True):
    """A whole line. `at_once`: it came of a single key, without Enter."""

    text: str
    at_once: bool = False


class Back(Struct, frozen=True):
    """Nothing changed; one question back."""


class Help(Struct, frozen=True):
    """A wish for help: what this step wants is to be explained."""


class Nothing(Struct, frozen=True):
    """The key has no meaning here."""


Meaning = Typed | Line | Back | Help | Nothing


def of_part(part: Asked, *, deliberate: bool = False, copying: bool = False) -> Wanted:
    """Give what is taken at one question of several; + answers by itself where it is a key of it."""
    same = any(choice.key == _PLUS for choice in part.choices) and not deliberate
    return Wanted(
        field=True,
        text=part.kind in ("line", "person"),
        at_once=frozenset({_PLUS}) if same else frozenset(),
        keys=_keys_of(part),
        deliberate=deliberate or part.name in _DELIBERATE,
        part=True,
        asks_number=part.kind == "number",
        copying=copying,
    )


def _keys_of(part: Asked) -> tuple[str, ...] | None:
    own = tuple(choice.key for choice in part.choices)
    return own if part.kind == "choice" else (*own, "all") if part.kind == "positions" else None


def stroke(want: Wanted, field: str, key: str, character: str | None) -> Meaning:
    """Tell what one key means. `key` is its name, `character` what it types, if anything."""
    match key:
        case "escape":
            return Back()
        case "enter":
            return Line(field)
        case "backspace" | "ctrl+h":
            if field:
                return Typed(field[:-1])
            return Nothing() if want.part else Line(CORRECT, at_once=True)
        case "ctrl+u":
            return Typed("")
        case _ if character is None or not character.isprintable():
            return Nothing()
    if want.text and (field or character not in want.at_once):
        return Typed(field + character)
    return _typed(want, field, character) if field else _on_an_empty_field(want, character)


def _on_an_empty_field(want: Wanted, sign: str) -> Meaning:
    if sign == HELP:
        return Help()
    if want.part and sign == BACK:
        return Back()
    acts = _PLUS if sign == " " else sign
    return Line(acts, at_once=True) if acts in want.at_once else _typed(want, "", sign)


def _typed(want: Wanted, field: str, sign: str) -> Meaning:
    """The field with one more sign; a sign that means nothing here leaves no trace.

    In a list all that is typed stands, also what none of its keys begins with: of "22.1", typed by a person whose eyes
    are on the bolt, a list that kept the 2 alone would take its second line. Where + says that an act is done, a list
    begins only with one of its keys, so that a stray sign does not stand before the +.
    """
    longer = field + sign
    if longer.startswith(want.opens):
        return Typed(longer)
    if not want.field or not longer.strip():
        return Nothing()
    if want.keys is not None:
        last = _WORDS.split(longer)[-1].casefold()
        fits = any(key.casefold().startswith(last) for key in want.keys)
        listed = bool(want.keys) and (bool(field) or _PLUS not in want.at_once)
        of_a_word = sign.isalnum() or (bool(field) and sign not in _NEVER_IN_A_NUMBER)
        return Typed(longer) if fits or (listed and of_a_word) else Nothing()
    fits = sign not in _NEVER_IN_A_NUMBER if field else sign.isdecimal() or sign in _NUMBER
    return Typed(longer) if fits else Nothing()
