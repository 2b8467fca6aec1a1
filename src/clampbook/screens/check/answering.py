"""What a line means in a check on the screen, and what else is asked where an answer has several parts.

An answer is gathered by a generator that asks for its parts and gives the answer at its end; nothing is stored here.
"""

from __future__ import annotations

from collections.abc import Generator
from typing import Literal, assert_never

from clampbook.check import answers as a
from clampbook.check import prompts as ask
from clampbook.check.events import Known, ZeroState
from clampbook.check.wording import sentence
from clampbook.run.asking import REASONS, numbered
from clampbook.run.draft import NONE, Part, looks_like_a_number
from clampbook.run.keys import PLUS
from clampbook.run.prompts import Choice

Wish = Literal["help", "figures"]
Gathered = Generator[Part, str, a.Answer | a.Refused | Wish]
Begun = Gathered | a.Answer | a.Refused | Wish

ZEROES: tuple[ZeroState, ...] = ("good", "came back wrong", "unknown")
KNOWN: tuple[Known, ...] = ("the tool still shows it", "a second person saw it", "from memory")
LEFT_ALONE, ADJUSTED, CLOSE = "1", "2", "1"
_ADJUSTMENTS = ("its adjusting screw was turned", "it was cleaned and oiled", "a part of it was changed")
_GIVE_UP = ("begun by mistake", "the tool cannot be checked", "to be done again from the start")
MENU: tuple[Choice, ...] = (
    Choice("1", "the last reading was mistyped"),
    Choice("2", "the last pull was a bad one"),
    Choice("3", "give the check up"),
    Choice("4", "all figures so far"),
    Choice("5", "help"),
    Choice("0", "pause"),
)


def begun(prompt: ask.Prompt, doubted: bool, line: str) -> Begun:
    """What a line at the prompt itself begins."""
    text = line.strip()
    if text.startswith("*"):
        return _of_menu(text[1:].strip()) if text[1:].strip() else _menu()
    if text == "/":
        return _note()
    if not text:
        return a.Refused("Nothing was typed, and nothing is taken for granted.")
    return _here(prompt, doubted, text)


def _here(prompt: ask.Prompt, doubted: bool, text: str) -> Begun:
    match prompt:
        case ask.Temperature():
            return a.NotMeasured() if text == NONE else a.Value(text)
        case ask.Zero():
            return a.ZeroIs(ZEROES[int(text) - 1]) if text in ("1", "2", "3") else a.Refused(sentence(prompt))
        case ask.Preload():
            return a.Plus() if text == PLUS else a.Refused(f"Load {prompt.tool.name} once, then press +.")
        case ask.SetTool():
            return _scale(text, prompt.units) if looks_like_a_number(text) else a.Refused(sentence(prompt))
        case ask.Pull():
            if text == NONE:
                return a.BadPull()
            return _openly(text) if doubted and _is_bare(text) else a.Value(text)
        case ask.Adjust():
            return _adjusted(text)
        case ask.Finished():
            return a.Finish() if text == CLOSE else a.Refused("1 closes the check; * for all else.")
        case ask.Ended():
            return a.Refused("The check is over.")
        case _:
            assert_never(prompt)


def _is_bare(text: str) -> bool:
    return looks_like_a_number(text) and not any(sign.isalpha() for sign in text)


def _adjusted(text: str) -> Begun:
    match text:
        case "1":
            return a.NotAdjusted()
        case "2":
            return _adjustment()
        case _:
            return a.Refused("1 where it was left as it was found, 2 where it was adjusted.")


def _scale(number: str, units: tuple[str, ...]) -> Gathered:
    unit = yield Part("unit", "And in which unit is its scale?", "choice", numbered(units))
    return a.ScaleShows(number, units[int(unit) - 1])


def _openly(number: str) -> Gathered:
    unit = yield Part("unit", f"{number} in which unit?", "choice", numbered(ask.UNITS))
    return a.Value(f"{number} {ask.UNITS[int(unit) - 1]}")


def _adjustment() -> Gathered:
    what = yield Part("what", "What was adjusted? Number or words.", "line", numbered(_ADJUSTMENTS))
    return a.WasAdjusted(what)


def _note() -> Gathered:
    text = yield Part("note", "The note?", "line")
    return a.Note(text)


def _menu() -> Gathered:
    number = yield Part("menu", "What else?", "choice", MENU)
    chosen = _of_menu(number)
    if isinstance(chosen, Generator):
        return (yield from chosen)
    return chosen


def _of_menu(number: str) -> Begun:
    match number:
        case "0":
            return a.Pause()
        case "1":
            return _correction()
        case "2":
            return _void()
        case "3":
            return _giving_up()
        case "4":
            return "figures"
        case "5":
            return "help"
        case _:
            return a.Refused(f"{number} is not on the list.")


def _correction() -> Gathered:
    text = yield Part("value", "The last reading: what was shown?", "number")
    known = yield Part("known", "How is that known?", "choice", numbered(KNOWN))
    return a.Correct(text, KNOWN[int(known) - 1])


def _void() -> Gathered:
    cause = yield Part("cause", "The last pull: what was wrong with it?", "line", numbered(REASONS["void"]))
    return a.VoidStored(cause)


def _giving_up() -> Gathered:
    reason = yield Part("reason", "Why is the check given up?", "line", numbered(_GIVE_UP))
    return a.GiveUp(reason)
