"""The meaning of one typed line at a prompt: which answer it begins, or which act. A numeric pad is enough.

`+` (or the space bar) is the one deliberate key, `-` a bad pull, `/ text` a note, `*` the menu of other actions and
`* n` one line of it; digits, a point or a comma always begin a number. An empty line means nothing anywhere.
"""

from __future__ import annotations

import re
from dataclasses import replace

from clampbook.run import asked
from clampbook.run.acts import menu
from clampbook.run.acts.at_hand import is_pull
from clampbook.run.answers import Refused, Value
from clampbook.run.gather.draft import FORM_TIME, NONE, Draft, looks_like_a_number, says_something, tidy
from clampbook.run.gather.keys import AT, CROSSED, PLUS, Keys, can_be_typed, chosen
from clampbook.run.on_form.asked_on_form import of_a_form
from clampbook.run.on_form.times import HOW
from clampbook.run.prompts import Ended, Prompt
from clampbook.text import quoted

_AT = re.compile(r"@\s*((?:\d{4}-\d{1,2}-\d{1,2}\s+)?\d{1,2}[:.]\d{2})(.*)")

_ROW = re.compile(r"(?:(\S{1,20})\s+)?@\s*((?:\d{4}-\d{1,2}-\d{1,2}\s+)?\d{1,2}[:.]\d{2})\s+(\S.*)")


def begin(prompt: Prompt, line: str, lost: str = "") -> Draft | Refused:
    """Begin an answer by a line, with what it gave of it; or give a sentence that says what can be typed.

    `lost` are signs that mean nothing here and were not shown: nobody who typed them typed nothing.
    """
    if line.strip("\r\n") and not line.strip():
        line = PLUS  # the space bar
    text = tidy(line)
    if isinstance(text, Refused):
        return text
    if isinstance(prompt, Ended):
        return Refused("This run is over.")
    keys = asked.keys(prompt)
    if not text:
        return _no_answer(keys, lost) if lost else Refused(f"Nothing typed. {can_be_typed(keys)}")
    return _anywhere(prompt, text) or _here(keys, text)


def _anywhere(prompt: Prompt, text: str) -> Draft | Refused | None:
    """The keys that do the same at every prompt; None where the line is none of them."""
    if text.casefold() == "pause":
        return Draft("pause")
    if text == "?":
        return Draft("help")
    if text.startswith("/"):
        words = text[1:].strip()
        if (row := _ROW.fullmatch(words)) is not None and of_a_form(prompt):
            return Draft("note", (("text", row[3]), ("position", row[1] or ""), ("time", row[2])))
        if words and not says_something(words):
            return Refused(f"{quoted(words)} is not a note. Type words.")
        return Draft("note", (("text", words),)) if words else Draft("note")
    if text.startswith("*"):
        return _from_the_menu(prompt, text[1:].strip())
    if text.startswith(AT) and of_a_form(prompt):
        return _at(prompt, text)
    if text.startswith(CROSSED) and is_pull(prompt) and of_a_form(prompt):
        return _crossed_out(text[1:].strip())
    if text.startswith(NONE) and is_pull(prompt) and not of_a_form(prompt):
        return _bad_pull(text[1:].strip())
    return None


def _at(prompt: Prompt, text: str) -> Draft | Refused:
    """The time on a form, and behind it what stands in the row: "@9:14 22.1"."""
    found = _AT.fullmatch(text)
    if found is None:
        return Refused(f"{quoted(text[1:])} is not a time. {HOW}")
    time, row = found[1], found[2].strip()
    if not row:
        return Draft("form time", (("time", time),))
    after = begin(prompt, row)
    return after if isinstance(after, Refused) else replace(after, given=((FORM_TIME, time), *after.given))


def _from_the_menu(prompt: Prompt, typed: str) -> Draft | Refused:
    if not typed:
        return Draft("menu")
    item = menu.numbered(int(typed), prompt) if re.fullmatch("[0-9]{1,3}", typed) else None
    if item is None:
        return Refused(f"{quoted(typed)} is not on the menu here. Type * to see it.")
    return Draft(item.act)


def _bad_pull(typed: str) -> Draft | Refused:
    if not typed:
        return Draft("bad pull")
    if not looks_like_a_number(typed):
        return Refused("Type - for a bad pull, or - and the number shown.")
    return Draft("bad pull", (("value", typed),))


def _crossed_out(typed: str) -> Draft | Refused:
    if typed and not looks_like_a_number(typed):
        return Refused("Type x for a row that is crossed out, or x and its number.")
    return Draft("bad pull", (("value", typed),) if typed else ())


def _here(keys: Keys, text: str) -> Draft | Refused:
    """Match what is typed with what can be: a choice with the answer that it begins, a text, or a number."""
    found = chosen(keys, text)
    if found is not None:
        return Draft("begun", begun=found.gives)
    if keys.types == "text" and text != PLUS:
        return Draft("begun", begun=Value(text), ahead=text)
    number = looks_like_a_number(text)
    if number and keys.types == "number":
        return Draft("begun", begun=Value(text))
    if number and keys.strays and not (keys.numbered and text.isdecimal()):
        return Draft("arrived", (("text", text),))
    return _no_answer(keys, text)


def _no_answer(keys: Keys, text: str) -> Refused:
    if keys.no_number and looks_like_a_number(text):
        return Refused(keys.no_number)
    what = "an answer here"
    if keys.types == "number" and not looks_like_a_number(text):
        what = "a number"
    elif keys.types == "keys" and keys.numbered:
        what = "a choice"
    return Refused(f"{quoted(text)} is not {what}. {can_be_typed(keys)}")
