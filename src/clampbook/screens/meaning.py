"""What a key means on an empty field or a filled one: typed, a whole line by itself, back, or help. Pure; no clock.

Knows nothing of the questions themselves, so that the bench need not load them.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal, Protocol

from msgspec import Struct

BACK, NOTE, HELP, CORRECT = "*", "/", "?", "* 1"
_PLUS = "+"
_NUMBER = ".,-−"  # signs that begin a number, beside digits


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


class Wanted(Struct, frozen=True):
    """What the question at hand takes. `at_once` are keys that answer by themselves on an empty field.

    `text`: every sign but those `at_once` is typed, and function keys act. `deliberate`: a choice and then Enter, and
    nothing that was typed ahead. `field`: something is to be typed, so that the field is always shown.
    """

    field: bool = False
    text: bool = False
    at_once: frozenset[str] = frozenset()
    deliberate: bool = False
    part: bool = False
    asks_number: bool = False  # a line from a tool answers it


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
    """What this step wants is to be explained."""


class Nothing(Struct, frozen=True):
    """The key has no meaning here."""


Meaning = Typed | Line | Back | Help | Nothing


def of_part(part: Asked, *, deliberate: bool = False) -> Wanted:
    """What is taken at one question of several. Where much hangs on it, a choice wants its Enter."""
    text = part.kind in ("line", "person")
    strict = deliberate or part.name == "sure"
    at_once = frozenset() if strict or part.kind != "choice" else single(tuple(c.key for c in part.choices), part.name)
    return Wanted(
        field=part.kind != "choice" or len(at_once) < len(part.choices),
        text=text,
        at_once=at_once,
        deliberate=strict,
        part=True,
        asks_number=part.kind == "number",
    )


def stroke(want: Wanted, field: str, key: str, character: str | None) -> Meaning:
    """What one key means. `key` is its name, `character` what it types, if anything."""
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
    if field or (want.text and character not in want.at_once):
        return Typed(field + character)
    return _on_an_empty_field(want, character)


def _on_an_empty_field(want: Wanted, sign: str) -> Meaning:
    if sign == HELP:
        return Help()
    if want.part:
        if sign == BACK:
            return Back()
        return Line(sign, at_once=True) if sign in want.at_once else Typed(sign)
    if sign == " ":
        sign = _PLUS
    if sign in want.at_once:
        return Line(sign, at_once=True)
    if sign.isdecimal() or sign in _NUMBER:
        return Typed(sign)
    return Nothing()


def single(keys: tuple[str, ...], name: str = "") -> frozenset[str]:
    """The keys that can answer without Enter: all where they are few signs, of a long list those that begin no other.

    Labels of positions are always typed out: what is right for 8 must not be wrong for 1.
    """
    if name in ("position", "done up to"):
        return frozenset()
    return frozenset(
        key for key in keys if len(key) == 1 and not any(other != key and other.startswith(key) for other in keys)
    )
