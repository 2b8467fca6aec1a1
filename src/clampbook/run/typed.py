"""What one typed line means at a prompt: which act it begins. Everything can be typed on a numeric pad.

`+` (or the space bar) is the one deliberate key, `-` a bad pull, `/ text` a note, `*` the menu of all else and `* n`
one line of it; digits, a point or a comma always begin a number. An empty line means nothing anywhere.
"""

from __future__ import annotations

import re
from typing import assert_never

from clampbook.run import kinds, menu
from clampbook.run.answers import Refused, Value
from clampbook.run.draft import NONE, Draft, looks_like_a_number, says_something, tidy
from clampbook.run.keys import NO, PLUS, YES, can_be_typed, choices, takes_text
from clampbook.run.kinds.kind import Keys
from clampbook.run.prompts import (
    Choice,
    Decide,
    Ended,
    Finished,
    Prompt,
    ReturnTool,
    SetTool,
    SignOff,
    StartSheet,
    StepState,
    TakeTool,
    ZeroTool,
)
from clampbook.unit_names import UnitFault, quoted, unit_named

_YES_NO = {"y": YES, "yes": YES, "n": NO, "no": NO}
_NUMBER_THEN_UNIT = re.compile(r"([-−+]?[\d.,]+)\s*(.*)")


def begin(prompt: Prompt, line: str) -> Draft | Refused:
    """The act that a line begins here, with what the line gave of it; or a sentence that says what can be typed."""
    if line.strip("\r\n") and not line.strip():
        line = PLUS  # the space bar
    text = tidy(line)
    if isinstance(text, Refused):
        return text
    if isinstance(prompt, Ended):
        return Refused("The run is over; nothing more is asked.")
    if not text:
        return Refused(f"Nothing was typed, and nothing is taken for granted. {can_be_typed(prompt)}")
    text = _spelled(prompt, text)
    return _anywhere(prompt, text) or _here(prompt, text)


def _spelled(prompt: Prompt, text: str) -> str:
    """Yes and no turned into the keys that they stand for, where that is what is asked."""
    if takes_text(prompt) or not any(choice.value == "yes" for choice in choices(prompt)):
        return text
    return _YES_NO.get(text.casefold(), text)


def _anywhere(prompt: Prompt, text: str) -> Draft | Refused | None:
    """The keys that do the same at every prompt; None where the line is none of them."""
    if text.casefold() == "pause":
        return Draft("pause")
    if text == "?":
        return Draft("help")
    if text.startswith("/"):
        words = text[1:].strip()
        if words and not says_something(words):
            return Refused(f"{quoted(words)} is not a note. Type words.")
        return Draft("note", (("text", words),)) if words else Draft("note")
    if text.startswith("*"):
        return _from_the_menu(prompt, text[1:].strip())
    if text.startswith(NONE) and menu.is_pull(prompt):
        return _bad_pull(text[1:].strip())
    return None


def _from_the_menu(prompt: Prompt, typed: str) -> Draft | Refused:
    if not typed:
        return Draft("menu")
    item = menu.numbered(int(typed), prompt) if re.fullmatch("[0-9]{1,3}", typed) else None
    if item is None:
        return Refused(f"{quoted(typed)} is no line of the menu here. Type * to see the menu.")
    return Draft(item.act)


def _bad_pull(typed: str) -> Draft | Refused:
    if not typed:
        return Draft("bad pull")
    if not looks_like_a_number(typed):
        return Refused("Type - alone for a bad pull, or - and then the value that the tool showed.")
    return Draft("bad pull", (("value", typed),))


def _here(prompt: Prompt, text: str) -> Draft | Refused:
    """What the line means at this kind of prompt."""
    if isinstance(prompt, kinds.Asked):
        return _begun(prompt, kinds.of(prompt).keys(prompt), text)
    match prompt:
        case StartSheet():
            return _on_the_sheet(prompt, text)
        case SetTool():
            return _scale(prompt, text)
        case TakeTool():
            return _tool(prompt, text)
        case SignOff():
            return _by_key(prompt, text) if text in (NONE, PLUS) else Draft("sign", ahead=text)
        case ZeroTool() | StepState() | Decide() | ReturnTool() | Finished():
            return _by_key(prompt, text)
        case Ended():
            return Refused("The run is over; nothing more is asked.")
        case _ as never:
            assert_never(never)


def _begun(prompt: Prompt, keys: Keys, text: str) -> Draft | Refused:
    """What is typed against what can be: a choice with the answer that it begins, or a text."""
    found = _chosen(keys.choices, text)
    if found is not None:
        return Draft("begun", begun=found.gives)
    if keys.types == "text" and text != PLUS:
        return Draft("begun", begun=Value(text))
    listed = any(choice.key.isdecimal() for choice in keys.choices)
    if looks_like_a_number(text) and keys.types == "number":
        return Draft("begun", begun=Value(text))
    if looks_like_a_number(text) and not (listed and text.isdecimal()):
        return Draft("arrived", (("text", text),))
    what = "none of the choices" if listed and keys.types == "keys" else "no answer here"
    return Refused(f"{quoted(text)} is {what}. {can_be_typed(prompt)}")


def _chosen(offered: tuple[Choice, ...], text: str) -> Choice | None:
    return next((choice for choice in offered if choice.key.casefold() == text.casefold()), None)


def _by_key(prompt: Prompt, text: str) -> Draft | Refused:
    found = _chosen(choices(prompt), text)
    if found is not None:
        return Draft("choice", (("choice", found.value),))
    if looks_like_a_number(text) and re.search("[.,]", text):
        return Draft("arrived", (("text", text),))
    return Refused(f"{quoted(text)} is none of the choices. {can_be_typed(prompt)}")


def _tool(prompt: TakeTool, text: str) -> Draft | Refused:
    for number, offer in enumerate(prompt.offers, 1):
        if text.casefold() in (str(number), offer.tool.name.casefold(), offer.tool.id):
            return Refused(offer.cannot) if offer.cannot else Draft("take up", (("tool", offer.tool.id),))
    return Refused(f"{quoted(text)} is none of the tools offered. {can_be_typed(prompt)}")


def _scale(prompt: SetTool, text: str) -> Draft | Refused:
    found = _NUMBER_THEN_UNIT.fullmatch(text)
    if found is None or not looks_like_a_number(text):
        return Refused(f"{quoted(text)} is no number. {can_be_typed(prompt)}")
    if not found[2]:
        return Draft("scale", (("number", found[1]),))
    try:
        unit = unit_named(found[2])
    except UnitFault:
        unit = ""
    if unit not in prompt.units:
        return Refused(f"{quoted(found[2])} is none of the units that a scale can have: {', '.join(prompt.units)}.")
    return Draft("scale", (("number", found[1]), ("unit", unit)))


def _on_the_sheet(prompt: StartSheet, text: str) -> Draft | Refused:
    own = choices(prompt)
    if text == NONE and any(choice.key == NONE for choice in own):
        return Draft("leave out")
    if prompt.ask is None and prompt.part is None:
        return Draft("plus") if text == PLUS else Refused(f"{quoted(text)} is no answer here. {can_be_typed(prompt)}")
    offered = [choice for choice in own if choice.key.isdecimal()]
    if not offered:
        if text == PLUS and prompt.last is not None:
            return Draft("value", (("text", prompt.last),))
        if text == NONE:
            return Refused(f"This one has to be answered. {can_be_typed(prompt)}")
        return Draft("value", (("text", text),)) if text != PLUS else Refused(can_be_typed(prompt))
    found = next((c for c in offered if text.casefold() in (c.key, c.text.casefold())), None)
    if found is None:
        return Refused(f"{quoted(text)} is none of the choices. {can_be_typed(prompt)}")
    return Draft("value", (("text", found.value),))
