"""A prompt of a check as the screen shows it: the sentence, the number for the hand, the field, the keys."""

from __future__ import annotations

from textwrap import wrap
from typing import assert_never

from clampbook.check import prompts as ask
from clampbook.check.at_the_joint import told_at_the_joint
from clampbook.check.deciding import Session
from clampbook.check.judging import Judgement
from clampbook.check.plan import Phase
from clampbook.check.wording import details, sentence
from clampbook.run.gather.draft import Part
from clampbook.run.gather.keys import PLUS
from clampbook.run.prompts import Choice
from clampbook.run.told.words import Figure
from clampbook.screens.check.answering import AFTER_ADJUSTING, CLOSE, ZEROES
from clampbook.screens.check.figures import table
from clampbook.screens.hinting import ACTIONS, ANYWHERE, CORRECT_HINT, HELP, KEEP, choose
from clampbook.screens.key_meaning import BACK, NOTE, Wanted, of_part
from clampbook.screens.shown import Shown
from clampbook.screens.widgets.bottom_line import KeyHint
from clampbook.tools.model import Tool
from clampbook.units import plain

NUMBER_AND_UNIT = "number and unit"
_ELSE = frozenset({BACK, NOTE})


def wanted(prompt: ask.Prompt, part: Part | None) -> Wanted:
    """Give what the keyboard takes at a prompt, or at one question of an answer of several parts."""
    if part is not None:
        return of_part(part)
    match prompt:
        case ask.Temperature() | ask.SetTool():
            return Wanted(field=True, at_once=_ELSE, asks_number=True)
        case ask.Zero():
            return Wanted(field=True, at_once=_ELSE, keys=keys_in(ZEROES))
        case ask.Exercise():
            return Wanted(at_once=_ELSE | {PLUS})
        case ask.Pull():
            return Wanted(field=True, at_once=_ELSE | {"-"}, asks_number=True)
        case ask.Adjust():
            return Wanted(field=True, at_once=_ELSE, keys=keys_in(AFTER_ADJUSTING), deliberate=True)
        case ask.Finished():
            return Wanted(field=True, at_once=_ELSE, keys=keys_in(CLOSE), deliberate=True)
        case ask.Ended():
            return Wanted()
        case _:
            assert_never(prompt)


def keys_in(choices: tuple[Choice, ...]) -> tuple[str, ...]:
    """Give the signs that can be typed to choose."""
    return tuple(choice.key for choice in choices)


def of_prompt(prompt: ask.Prompt, session: Session) -> Shown:
    """Everything about a prompt but what was answered before."""
    if isinstance(prompt, ask.Ended):
        return Shown(sentence(prompt), keys=(KeyHint("Enter", "leave"), HELP))
    shown = _asked(prompt)
    if session.unusual:
        shown = Shown(
            sentence(prompt),
            hand=shown.hand,
            position=shown.position,
            field=NUMBER_AND_UNIT,
            keys=shown.keys,
            picture=True,
        )
    back = (CORRECT_HINT,) if session.progress.pulls else ()
    return shown.with_keys(*ANYWHERE, *back, HELP, ACTIONS)


def _asked(prompt: ask.Prompt) -> Shown:
    said = sentence(prompt)
    match prompt:
        case ask.Temperature():
            keys = (KEEP, KeyHint("- then Enter", "not measured"))
            return Shown(said, field="temperature", unit="°C", keys=keys)
        case ask.Zero():
            return Shown(said, choices=ZEROES, field="number", keys=choose(keys_in(ZEROES)))
        case ask.Exercise():
            place = _count(prompt.number, prompt.of, "pulls")
            return Shown(said, hand=_most(prompt), position=place, keys=(KeyHint("+", "done"),))
        case ask.SetTool():
            hand = Figure(plain(prompt.to), f"on {prompt.tool.name}", "set to", prompt.tool.unit)
            return Shown(said, hand=hand, field=f"scale of {prompt.tool.name}", keys=(KEEP,), picture=True)
        case ask.Pull():
            return _pull(prompt, said)
        case ask.Adjust():
            return _deliberate(said, AFTER_ADJUSTING)
        case ask.Finished():
            return _deliberate(said, CLOSE)
        case ask.Ended():
            raise AssertionError("nothing is asked")
        case _:
            assert_never(prompt)


def _deliberate(said: str, choices: tuple[Choice, ...]) -> Shown:
    return Shown(said, choices=choices, field="number", keys=choose(keys_in(choices)))


def found_at(prompt: ask.Prompt, tool: Tool, width: int) -> tuple[str, ...]:
    """Give the result of the phase that was just pulled, as a table, and what it means at the joint; nothing at any
    other prompt."""
    if isinstance(prompt, ask.Adjust):
        return _found(prompt.judgement, "as found", tool, width)
    if isinstance(prompt, ask.Finished):
        left = prompt.as_left
        return (
            _found(prompt.as_found, "as found", tool, width) if left is None else _found(left, "as left", tool, width)
        )
    return ()


def _found(judgement: Judgement | None, phase: Phase, tool: Tool, width: int) -> tuple[str, ...]:
    if judgement is None:
        return ()
    said = (line for each in told_at_the_joint(judgement, phase, tool) for line in wrap(each, max(width, 1)))
    return (*table(judgement, width), *said)


def _pull(prompt: ask.Pull, said: str) -> Shown:
    where, tool = prompt.where, prompt.tool
    held = tool.name if prompt.type_what == "reference" else (prompt.reference.name if prompt.reference else "")
    caption = "set to" if tool.kind == "setting" else "bring to"
    return Shown(
        said,
        hand=Figure(plain(prompt.bring_to), f"on {held}", caption, prompt.bring_unit),
        position=_count(where.reading, where.readings, "readings"),
        lines=details(prompt),
        field=f"{ask.whose(prompt)} shows",
        unit=prompt.unit,
        keys=(KEEP, KeyHint("-", "bad pull")),
        picture=True,
        pulls=True,
    )


def _most(prompt: ask.Exercise) -> Figure | None:
    tool = prompt.tool
    return None if tool.maximum is None else Figure(plain(tool.maximum), f"on {tool.name}", "pull to", tool.unit)


def _count(number: int, of: int, what: str) -> Figure | None:
    """Say which of several it is; of one alone there is nothing to count."""
    return Figure(str(number), f"of {of} {what}") if of > 1 else None
