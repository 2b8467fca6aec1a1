"""What a key means at a question: typed into the field, a whole line by itself, or back and help. Pure; no clock.

The line that comes of it is read by the same core as a line of plain mode, so that no rule lives here.
"""

from __future__ import annotations

from dataclasses import dataclass

from clampbook.procedure.model import Ask
from clampbook.procedure.model import Part as Consumable
from clampbook.run import menu
from clampbook.run.draft import BACK, NONE, Part
from clampbook.run.keys import NO, PLUS, YES, choices, takes_number
from clampbook.run.prompts import (
    Apply,
    Decide,
    Finished,
    Inspect,
    Loosen,
    Measure,
    Prompt,
    SetTool,
    SignOff,
    StartSheet,
)

NOTE, HELP, CORRECT = "/", "?", "* 1"
_LETTERS = frozenset("rbmpch")  # what they stand for is known by the reader of lines
_YES_NO = frozenset("yn")
_MOST_AT_ONCE = 9  # choices that a single digit can tell apart


@dataclass(frozen=True, slots=True)
class Wanted:
    """What the question at hand takes. `at_once` are keys that answer by themselves on an empty field.

    `text`: every sign is typed, nothing but function keys acts. `deliberate`: a choice and then Enter, and nothing
    that was typed ahead. `field`: something is to be typed, so that the field is always shown.
    """

    field: bool = False
    text: bool = False
    at_once: frozenset[str] = frozenset()
    letters: frozenset[str] = frozenset()
    deliberate: bool = False
    part: bool = False
    asks_number: bool = False  # a line from a tool answers it


@dataclass(frozen=True, slots=True)
class Typed:
    """The field holds this now."""

    field: str


@dataclass(frozen=True, slots=True)
class Line:
    """A whole line. `at_once`: it came of a single key, without Enter."""

    text: str
    at_once: bool = False


@dataclass(frozen=True, slots=True)
class Back:
    """Nothing changed; one question back."""


@dataclass(frozen=True, slots=True)
class Help:
    """What this step wants is to be explained."""


@dataclass(frozen=True, slots=True)
class Nothing:
    """The key has no meaning here."""


Meaning = Typed | Line | Back | Help | Nothing


def wanted(prompt: Prompt, part: Part | None) -> Wanted:
    """What is taken at a prompt, or at one question of an answer of several parts."""
    return _of_prompt(prompt) if part is None else of_part(part, deliberate=_deliberate(prompt))


def of_part(part: Part, *, deliberate: bool = False) -> Wanted:
    """What is taken at one question of several. Where much hangs on it, a choice wants its Enter."""
    text = part.kind in ("line", "person")
    strict = deliberate or part.name == "sure"
    at_once = frozenset() if strict or part.kind != "choice" else _single(tuple(c.key for c in part.choices), part.name)
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
    if field or want.text:
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
        sign = PLUS
    if sign in want.at_once or sign.casefold() in want.letters:
        return Line(sign, at_once=True)
    if sign.isdecimal() or sign in ".,-−":
        return Typed(sign)
    return Nothing()


def _of_prompt(prompt: Prompt) -> Wanted:
    own = frozenset(choice.key for choice in choices(prompt))
    text = _types_text(prompt)
    deliberate = _deliberate(prompt)
    signs = {PLUS, BACK, NOTE} | (set() if isinstance(prompt, Measure) else {NONE})
    digits = frozenset() if deliberate or _types_number(prompt) else _single(tuple(own))
    return Wanted(
        field=text or _types_number(prompt) or deliberate or len(own) > _MOST_AT_ONCE,
        text=text,
        at_once=frozenset() if text else frozenset(signs) | digits,
        letters=_letters(prompt, own),
        deliberate=deliberate,
        asks_number=_types_number(prompt),
    )


def _single(keys: tuple[str, ...], name: str = "") -> frozenset[str]:
    """The keys that can answer without Enter: all where they are few signs, of a long list those that begin no other.

    Labels of positions are always typed out: what is right for 8 must not be wrong for 1.
    """
    if name in ("position", "done up to"):
        return frozenset()
    return frozenset(
        key for key in keys if len(key) == 1 and not any(other != key and other.startswith(key) for other in keys)
    )


def _letters(prompt: Prompt, own: frozenset[str]) -> frozenset[str]:
    if _types_text(prompt) or _deliberate(prompt):
        return frozenset()
    if {YES, NO} <= own and any(choice.text == "yes" for choice in choices(prompt)):
        return _YES_NO
    return _LETTERS if menu.is_pull(prompt) or isinstance(prompt, Measure | Loosen) else frozenset()


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
