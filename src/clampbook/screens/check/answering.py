"""The meaning of a line in a check on the screen, and what else is asked where an answer has several parts.

An answer is gathered by a generator that asks for its parts and gives the answer at its end; nothing is stored here.
"""

from __future__ import annotations

from collections.abc import Generator
from typing import Literal, assert_never

from clampbook.check import answers as a
from clampbook.check import prompts as ask
from clampbook.check.events import ZeroState
from clampbook.check.wording import sentence, what_it_showed
from clampbook.run.gather.asking import KNOWN, REASONS, named, numbered
from clampbook.run.gather.draft import NONE, Part, looks_like_a_number
from clampbook.run.gather.keys import PLUS
from clampbook.run.prompts import Choice

Wish = Literal["help", "figures"]
Gathered = Generator[Part, str, a.Answer | a.Refused | Wish]
Begun = Gathered | a.Answer | a.Refused | Wish

ZEROES = numbered({"good": "good", "wrong": "came back wrong", "unknown": "unknown"})
AFTER_ADJUSTING = numbered(
    {"left_alone": "left as it was found", "adjusted": "adjusted, and to be checked once more as left"}
)
CLOSE = numbered({"close": "close the check"})
_ZERO_STATES: dict[str, ZeroState] = {"good": "good", "wrong": "came back wrong", "unknown": "unknown"}
_ADJUSTMENTS = {
    "screw_turned": "its adjusting screw was turned",
    "cleaned": "it was cleaned and oiled",
    "part_changed": "a part of it was changed",
}
_GIVE_UP = {
    "by_mistake": "begun by mistake",
    "cannot_be_checked": "the tool cannot be checked",
    "start_again": "to be done again from the start",
}
NOT_READ = "not_read"
MENU: tuple[Choice, ...] = (
    Choice("1", "the last reading was mistyped", "correct"),
    Choice("2", "the last pull was a bad one", "void"),
    Choice("3", "give the check up", "abandon"),
    Choice("4", "all figures so far", "figures"),
    Choice("5", "help", "help"),
    Choice("0", "pause", "pause"),
)


def begun(prompt: ask.Prompt, doubted: bool, line: str) -> Begun:
    """Begin what a line at the prompt itself means."""
    text = line.strip()
    if text.startswith("*"):
        return _of_menu(chosen(MENU, text[1:].strip())) if text[1:].strip() else _menu()
    if text == "/":
        return _note()
    if not text:
        return a.Refused("Nothing was typed, and nothing is taken for granted.")
    return _here(prompt, doubted, text)


def chosen(choices: tuple[Choice, ...], key: str) -> str | None:
    """The value of the choice with this key; None where there is none."""
    return next((choice.value for choice in choices if choice.key == key), None)


def _here(prompt: ask.Prompt, doubted: bool, text: str) -> Begun:
    match prompt:
        case ask.Temperature():
            return a.NotMeasured() if text == NONE else a.Value(text)
        case ask.Zero():
            state = chosen(ZEROES, text)
            return a.ZeroIs(_ZERO_STATES[state]) if state is not None else a.Refused(sentence(prompt))
        case ask.Preload():
            return a.Plus() if text == PLUS else a.Refused(f"Load {prompt.tool.name} once, then press +.")
        case ask.SetTool():
            return _scale(text, prompt.units) if looks_like_a_number(text) else a.Refused(sentence(prompt))
        case ask.Pull():
            if text == NONE:
                return _bad_pull(prompt)
            return _openly(text) if doubted and _is_bare(text) else a.Value(text)
        case ask.Adjust():
            return _adjusted(text)
        case ask.Finished():
            return a.Finish() if chosen(CLOSE, text) == "close" else a.Refused("1 closes the check; * for all else.")
        case ask.Ended():
            return a.Refused("The check is over.")
        case _:
            assert_never(prompt)


def _is_bare(text: str) -> bool:
    return looks_like_a_number(text) and not any(sign.isalpha() for sign in text)


def _adjusted(text: str) -> Begun:
    match chosen(AFTER_ADJUSTING, text):
        case "left_alone":
            return a.NotAdjusted()
        case "adjusted":
            return _adjustment()
        case _:
            return a.Refused("1 where it was left as it was found, 2 where it was adjusted.")


def _scale(number: str, units: tuple[str, ...]) -> Gathered:
    if len(units) == 1:
        return a.ScaleShows(number, units[0])
    unit = yield Part("unit", "And in which unit is its scale?", "choice", named(units))
    return a.ScaleShows(number, unit)


def _openly(number: str) -> Gathered:
    unit = yield Part("unit", f"{number} in which unit?", "choice", named(ask.UNITS))
    return a.Value(f"{number} {unit}")


def _bad_pull(prompt: ask.Pull) -> Gathered:
    shown = yield Part("value", what_it_showed(prompt), "number", (Choice(NONE, "not read", NOT_READ),), enter=NONE)
    return a.BadPull(value=None if shown == NOT_READ else shown)


def _adjustment() -> Gathered:
    what = yield Part("what", "What was adjusted? Number or words.", "line", numbered(_ADJUSTMENTS))
    return a.WasAdjusted(what)


def _note() -> Gathered:
    text = yield Part("note", "The note?", "line")
    return a.Note(text)


def _menu() -> Gathered:
    begun = _of_menu((yield Part("menu", "What else?", "choice", MENU)))
    if isinstance(begun, Generator):
        return (yield from begun)
    return begun


def _of_menu(item: str | None) -> Begun:
    match item:
        case "pause":
            return a.Pause()
        case "correct":
            return _correction()
        case "void":
            return _void()
        case "abandon":
            return _giving_up()
        case "figures" | "help":
            return item
        case _:
            return a.Refused("That is not on the list.")


def _correction() -> Gathered:
    text = yield Part("value", "The last reading: what was shown?", "number")
    known = yield Part("known", "How is that known?", "choice", numbered(KNOWN))
    return a.Correct(text, KNOWN[known])


def _void() -> Gathered:
    cause = yield Part("cause", "The last pull: what was wrong with it?", "line", numbered(REASONS["void"]))
    return a.VoidStored(cause)


def _giving_up() -> Gathered:
    reason = yield Part("reason", "Why is the check given up?", "line", numbered(_GIVE_UP))
    return a.GiveUp(reason)
