"""The meaning of a line in a check on the screen, and what else is asked where an answer has several parts.

An answer is gathered by a generator that asks for its parts and gives the answer at its end; nothing is stored here.
"""

from __future__ import annotations

from collections.abc import Generator
from typing import Literal, assert_never

from clampbook.check import answers as a
from clampbook.check import prompts as ask
from clampbook.check import wording
from clampbook.check.events import ZeroState
from clampbook.check.wording import sentence, what_it_showed
from clampbook.run.gather.asking import KNOWN, REASONS, named, numbered
from clampbook.run.gather.draft import NONE, Part, looks_like_a_number
from clampbook.run.gather.keys import PLUS
from clampbook.run.prompts import Choice
from clampbook.screens.hinting import among
from clampbook.text import quoted

Wish = Literal["help", "figures"]
Gathered = Generator[Part, str, a.Answer | a.Refused | Wish]
Begun = Gathered | a.Answer | a.Refused | Wish

ZEROES = numbered({"good": "yes", "wrong": "no", "unknown": "not sure"})
AFTER_ADJUSTING = numbered({"left_alone": "Nothing", "adjusted": "It was adjusted, check it again as left"})
CLOSE = numbered({"close": "Close the check"})
_ZERO_STATES: dict[str, ZeroState] = {"good": "good", "wrong": "wrong", "unknown": "unknown"}
_ADJUSTMENTS = {
    "screw_turned": "adjusting screw turned",
    "cleaned": "cleaned and oiled",
    "part_changed": "part replaced",
}
_GIVE_UP = {
    "by_mistake": "started by mistake",
    "cannot_be_checked": "tool cannot be checked",
    "start_again": "starting over",
}
NOT_READ = "not_read"
MENU: tuple[Choice, ...] = (
    *numbered(wording.MENU),
    Choice("4", "Show all figures so far", "figures"),
    Choice("5", "Help", "help"),
    Choice("0", "Pause", "pause"),
)


def begun(prompt: ask.Prompt, unusual: bool, line: str, lost: str = "") -> Begun:
    """Begin what a line at the prompt itself means; `lost` was typed and means nothing here."""
    text = line.strip()
    if text.startswith("*"):
        return _of_menu(chosen(MENU, text[1:].strip())) if text[1:].strip() else _menu()
    if text == "/":
        return _note()
    if not text:
        return a.Refused(f"{quoted(lost)} is not an answer here." if lost else wording.NOTHING_TYPED)
    return _here(prompt, unusual, text)


def chosen(choices: tuple[Choice, ...], key: str) -> str | None:
    """The value of the choice with this key; None where there is none."""
    return next((choice.value for choice in choices if choice.key == key), None)


def _here(prompt: ask.Prompt, unusual: bool, text: str) -> Begun:
    match prompt:
        case ask.Temperature():
            return a.NotMeasured() if text == NONE else a.Value(text)
        case ask.Zero():
            state = chosen(ZEROES, text)
            return a.ZeroIs(_ZERO_STATES[state]) if state is not None else a.Refused(sentence(prompt))
        case ask.Exercise():
            return a.Plus() if text == PLUS else a.Refused(f"Exercise {prompt.tool.name} once, then press +.")
        case ask.SetTool():
            return _scale(prompt, text) if looks_like_a_number(text) else a.Refused(sentence(prompt))
        case ask.Pull():
            if text == NONE:
                return _bad_pull(prompt)
            return _openly(text) if unusual and _is_bare(text) else a.Value(text)
        case ask.Adjust():
            return _adjusted(text)
        case ask.Finished():
            return a.Finish() if chosen(CLOSE, text) == "close" else a.Refused(wording.can_be_typed(prompt))
        case ask.Ended():
            return a.Refused("This check is over.")
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
            return a.Refused("Choose 1 to 2.")


def _scale(prompt: ask.SetTool, number: str) -> Gathered:
    units = prompt.units
    if len(units) == 1:
        return a.ScaleShows(number, units[0])
    unit = yield Part("unit", f"{number} in which unit? Read it off {prompt.tool.name}.", "choice", named(units))
    return a.ScaleShows(number, unit)


def _openly(number: str) -> Gathered:
    unit = yield Part("unit", f"{number} in which unit?", "choice", named(ask.UNITS))
    return a.Value(f"{number} {unit}")


def _bad_pull(prompt: ask.Pull) -> Gathered:
    shown = yield Part("value", what_it_showed(prompt), "number", (Choice(NONE, "not read", NOT_READ),), enter=NONE)
    return a.BadPull(value=None if shown == NOT_READ else shown)


def _adjustment() -> Gathered:
    what = yield Part("what", "What was adjusted?", "line", numbered(_ADJUSTMENTS))
    return a.WasAdjusted(what)


def _note() -> Gathered:
    text = yield Part("note", "Type the note.", "line")
    return a.Note(text)


def _menu() -> Gathered:
    begun = _of_menu((yield Part("menu", "Other actions", "choice", MENU)))
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
            return a.Refused(among(tuple(choice.key for choice in MENU)))


def _correction() -> Gathered:
    text = yield Part("value", wording.WHAT_WAS_SHOWN, "number")
    known = yield Part("known", wording.HOW_KNOWN, "choice", numbered(KNOWN))
    return a.Correct(text, KNOWN[known])


def _void() -> Gathered:
    cause = yield Part("cause", wording.WHAT_WAS_WRONG, "line", numbered(REASONS["void"]))
    return a.VoidStored(cause)


def _giving_up() -> Gathered:
    reason = yield Part("reason", wording.WHY_ABANDON, "line", numbered(_GIVE_UP))
    return a.GiveUp(reason)
