"""An answer of several parts while it is being gathered: what is asked for next, and what has been given so far.

Nothing here is stored: a draft that is left with "back" leaves no trace.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Literal

from clampbook.people import Person, find, letters_of
from clampbook.procedure.naming import ALL
from clampbook.run.answers import Answer, Refused
from clampbook.run.gather.newcomers import AGAIN, NEW, asked_about
from clampbook.run.prompts import Choice
from clampbook.text import TextFault, as_sentence, clean, quoted

BACK = "*"
_GO_BACK = f"or {BACK} to go back"
NONE, _PLUS = "-", "+"
JOINTS = "joints"  # the part that asks which of several joints are done
ESCAPE = "\x1b"
FORM_TIME = "form time"  # the part that holds the time typed before a row of a form
LONGEST_LINE = 500

Given = str | Person | tuple[str, ...]
Named = Callable[[str], Person]

_NUMBER = re.compile(r"[-−]?\s*[.,]?\d")
_BETWEEN = " \t,;+"
_BETWEEN_POSITIONS = re.compile(rf"[{_BETWEEN}]+")


@dataclass(frozen=True, slots=True)
class Part:
    """One question of several. `name` never changes (scripts rely on it), `text` is the question.

    Kinds: "choice" takes one of the keys; "line" a text, or the key of a text that is offered; "number" a number,
    or one of the keys; "person" a key or a name; "positions" one or more of the keys. What was chosen is given by
    the value of the choice, but for "line", where the text offered is taken as if it had been typed. `enter` is the
    key that Enter alone stands for; where there is none, an empty line is no answer. `about` is the part at which a
    name was `typed` that the book does not know, where this one asks about that name.
    """

    name: str
    text: str
    kind: Literal["line", "number", "person", "choice", "positions"]
    choices: tuple[Choice, ...] = ()
    people: tuple[Person, ...] = ()
    enter: str = ""
    about: Part | None = None
    typed: str = ""


@dataclass(frozen=True, slots=True)
class Draft:
    """An act and the parts of it that were given, in the order of asking.

    `ahead` is a line that was typed at the prompt itself and answers the first part; `begun` is the answer that a
    choice of the prompt, or what was typed there, begins; `asks` is a question about the last line, before all others.
    """

    act: str
    given: tuple[tuple[str, Given], ...] = ()
    ahead: str | None = None
    begun: Answer | None = None
    asks: Part | None = None

    def has(self, name: str) -> bool:
        """True where this part was given."""
        return any(known == name for known, _ in self.given)

    def text(self, name: str) -> str:
        """A part that is a text; empty where it was not given."""
        return next((value for known, value in self.given if known == name and isinstance(value, str)), "")

    def positions(self, name: str) -> tuple[str, ...]:
        """A part that is a list of positions; empty where it was not given."""
        return next((value for known, value in self.given if known == name and isinstance(value, tuple)), ())

    def person(self, name: str) -> Person | None:
        """A part that is a person; None where it was not given, or where nobody was named."""
        return next((value for known, value in self.given if known == name and isinstance(value, Person)), None)

    def adding(self, name: str, value: Given) -> Draft:
        """The same draft with one more part."""
        return Draft(self.act, (*self.given, (name, value)), begun=self.begun)


def asked_again(part: Part) -> bool:
    """True where a refusal of the whole answer leaves its last part open: a number is typed anew where it was
    asked, and never read as the number of a line that stood there before.
    """
    return part.kind == "number"


def looks_like_a_number(text: str) -> bool:
    """True where a number begins here: a digit, a point or comma before one, a minus before one."""
    return _NUMBER.match(text) is not None


def bare(text: str) -> bool:
    """True where a number stands there without a unit."""
    return looks_like_a_number(text) and not any(sign.isalpha() or sign in "°µ" for sign in text)


def says_something(text: str) -> bool:
    """True where a text holds a letter or a digit: a key such as + that was pressed once too often is no text."""
    return any(sign.isalnum() for sign in text)


def goes_back(line: str) -> bool:
    """True where the line leaves the question unanswered: `*`, or the escape key where a terminal sends it."""
    return line.strip() in (BACK, ESCAPE)


def tidy(line: str) -> str | Refused:
    """The line as it is kept, or a sentence that says which sign in it cannot be seen."""
    try:
        return clean(line, what="the answer", most=LONGEST_LINE)
    except TextFault as fault:
        return Refused(as_sentence(fault.sentence))


def take(draft: Draft, part: Part, line: str, named: Named) -> Draft | Refused:
    """The draft with this part answered, or with a question about the line. `named` finds the person of a typed name,
    or enters a new one.
    """
    text = tidy(line)
    if isinstance(text, Refused):
        return text
    text = text or part.enter
    if not text:
        return Refused(f"Nothing typed. {_allowed(part)}")
    match part.kind:
        case "choice" if part.about is not None:
            return _meant(draft, part, part.about, text, named)
        case "choice":
            chosen = _chosen(part, text)
            return (
                draft.adding(part.name, chosen.value)
                if chosen is not None
                else Refused(f"{quoted(text)} is not a choice. {_allowed(part)}")
            )
        case "number":
            return _number(draft, part, text)
        case "line":
            return _line(draft, part, text)
        case "person":
            return _person(draft, part, text, named)
        case "positions":
            return _positions(draft, part, text)


def _number(draft: Draft, part: Part, text: str) -> Draft | Refused:
    chosen = _chosen(part, text)
    if chosen is None and not looks_like_a_number(text):
        return Refused(f"{quoted(text)} is not a number. {_allowed(part)}")
    return draft.adding(part.name, text if chosen is None else chosen.value)


def _line(draft: Draft, part: Part, text: str) -> Draft | Refused:
    offered = next((choice for choice in part.choices if choice.key == text), None)
    if offered is not None:
        return draft.adding(part.name, offered.value if offered.key == NONE else offered.text)
    if part.choices and text.isdecimal():
        return Refused(f"{quoted(text)} is not a choice. {_allowed(part)}")
    if not says_something(text):
        return Refused(f"{quoted(text)} says nothing. {_allowed(part)}")
    return draft.adding(part.name, text)


def _person(draft: Draft, part: Part, text: str, named: Named) -> Draft | Refused:
    chosen = next((choice for choice in part.choices if choice.key == text), None)
    if chosen is not None:
        known = next((one for one in part.people if one.id == chosen.value), None)
        return draft.adding(part.name, chosen.value if known is None else known)
    if not any(sign.isalpha() for sign in text) or text.startswith(_PLUS):
        return Refused(f"{quoted(text)} is not a name or a number on the list. {_allowed(part)}")
    try:
        if (meant := _by_initials(part, text)) is not None:
            return draft.adding(part.name, meant)
        unknown = asked_about(part, text)
        return replace(draft, asks=unknown) if unknown is not None else draft.adding(part.name, named(text))
    except TextFault as fault:
        return Refused(as_sentence(fault.sentence))


def _by_initials(part: Part, text: str) -> Person | None:
    """The person on the list whose initials these are, where the list knows them; a name comes first."""
    if find(part.people, text) is not None:
        return None
    letters = letters_of(text)
    id = next((choice.value for choice in part.choices if letters in choice.words), None)
    return next((one for one in part.people if one.id == id), None)


def _meant(draft: Draft, part: Part, about: Part, text: str, named: Named) -> Draft | Refused:
    """The draft once it is said whether a name that the book does not know is that of somebody new."""
    chosen = _chosen(part, text)
    if chosen is None:
        return Refused(f"{quoted(text)} is none of these. {_allowed(part)}")
    if chosen.value == AGAIN:
        return replace(draft, asks=about)
    known = next((one for one in part.people if one.id == chosen.value), None)
    return draft.adding(about.name, named(part.typed) if chosen.value == NEW or known is None else known)


def _positions(draft: Draft, part: Part, text: str) -> Draft | Refused:
    labels = tuple(choice.value for choice in part.choices if choice.value != ALL)
    if text.casefold() == ALL:
        return draft.adding(part.name, labels)
    left = text.strip(_BETWEEN)
    found: list[str] = []
    while left or not found:
        whole = next(((one, span) for span in _spans(part, left) if (one := _chosen(part, span)) is not None), None)
        if whole is None:
            what, word = "joint" if part.name == JOINTS else "position", _BETWEEN_POSITIONS.split(left)[0] or text
            return Refused(f"{quoted(word)} is not a {what} here. {_allowed(part)}")
        chosen, span = whole
        found.append(chosen.value)
        left = left[len(span) :].lstrip(_BETWEEN)
    return draft.adding(part.name, tuple(dict.fromkeys(found)))


def _spans(part: Part, text: str) -> list[str]:
    """The beginnings of a text that may be a name, the longest first: a name can have blanks in it."""
    longest = max((len(name) for choice in part.choices for name in (choice.key, *choice.words)), default=0)
    ends = (*(each.start() for each in _BETWEEN_POSITIONS.finditer(text)), len(text))
    return [text[:end] for end in reversed(ends) if end <= longest]


def _chosen(part: Part, text: str) -> Choice | None:
    """The choice whose key was typed, exactly or in other letter case, or what can be typed for a position as well."""
    exactly = next((choice for choice in part.choices if choice.key == text), None)
    if exactly is not None:
        return exactly
    alike = [choice for choice in part.choices if choice.key.casefold() == text.casefold()]
    words = ((choice, map(str.casefold, choice.words)) for choice in part.choices)
    alike = alike or [choice for choice, each in words if text.casefold() in each]
    return alike[0] if len(alike) == 1 else None


def at_the_prompt(refused: Refused) -> Refused:
    """The same of a line that was typed at the prompt itself: nothing lies behind that, and * opens the menu there."""
    return Refused(refused.sentence.replace(_GO_BACK, f"or {BACK} for other actions"))


def _allowed(part: Part) -> str:
    keys, back = _keys_of(part), _GO_BACK
    match part.kind:
        case "choice":
            return f"Choose {keys}, {back}."
        case "number":
            return f"Type a number, {f'{keys}, ' if keys else ''}{back}."
        case "line":
            return f"{f'Choose {keys}, type a text' if keys else 'Type a text'}, {back}."
        case "person":
            return f"{f'Choose {keys}, type a name' if keys else 'Type a name'}, {back}."
        case "positions":
            return f"Type one or more of {keys}, with commas between, {back}."


def _keys_of(part: Part) -> str:
    """The keys that can be typed: "1 to 5, -"."""
    keys = [choice.key for choice in part.choices]
    digits = [key for key in keys if key.isdecimal()]
    counted = digits == [str(number) for number in range(1, len(digits) + 1)] and len(digits) > 1
    span = [f"1 to {len(digits)}"] if counted and part.kind != "positions" else digits
    return ", ".join((*span, *(key for key in keys if key not in digits)))
