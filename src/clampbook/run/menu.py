"""The numbered menu of all else that can happen at a prompt.

A number means the same everywhere; what does not fit a prompt is left out there.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, assert_never

from clampbook.run.prompts import (
    Attested,
    BackAtMark,
    BackOff,
    Choice,
    Confirm,
    Decide,
    Ended,
    Finished,
    Loosen,
    Measure,
    Prompt,
    Recheck,
    ReturnTool,
    SetTool,
    SignOff,
    StartSheet,
    StepState,
    TakeTool,
    Tighten,
    Turn,
    ZeroTool,
)

Fits = Literal["everywhere", "pull", "position"]


@dataclass(frozen=True, slots=True)
class Item:
    """One line of the menu: the number to type, the act it begins, and where it is offered."""

    number: int
    act: str
    text: str
    fits: Fits = "everywhere"

    @property
    def value(self) -> str:
        """The act in snake case, which scripts rely on."""
        return self.act.replace(" ", "_")


ITEMS = (
    Item(0, "pause", "pause"),
    Item(1, "correct", "correct the last answer"),
    Item(2, "pulled another", "another position was pulled", "pull"),
    Item(3, "set aside", "set this one aside", "position"),
    Item(4, "broken", "it broke or stripped", "position"),
    Item(5, "never reaches", "it does not reach the torque", "pull"),
    Item(6, "wrong part", "wrong or missing part", "position"),
    Item(7, "dropped", "a tool was dropped"),
    Item(8, "change tool", "take another tool"),
    Item(9, "void", "the last stored pull was a bad one"),
    Item(10, "hand over", "hand over to another person"),
    Item(11, "hold", "leave the run on hold"),
    Item(12, "turn map", "turn the map"),
    Item(13, "last three", "show the last three positions again"),
    Item(14, "abandon", "abandon the run"),
    Item(15, "help", "help"),
    Item(16, "doubt tool", "doubt a tool"),
    Item(17, "note", "write a note"),
)
_BY_NUMBER = {item.number: item for item in ITEMS}


def pull_at(prompt: Prompt) -> Tighten | Turn | Recheck | None:
    """The pull that is asked for here, of several in one answer the first; None where nothing is pulled."""
    if isinstance(prompt, Attested):
        return None
    match prompt:
        case Tighten() | Turn() | Recheck():
            return prompt
        case Confirm(pull=pull):
            return pull
        case StartSheet() | TakeTool() | SetTool() | ZeroTool() | ReturnTool():
            return None
        case Loosen() | BackOff() | BackAtMark() | Measure():
            return None
        case StepState() | Decide() | SignOff() | Finished() | Ended():
            return None
        case _ as never:
            assert_never(never)


def is_pull(prompt: Prompt) -> bool:
    """Whether something is pulled here, alone or several in one answer."""
    return pull_at(prompt) is not None


def position_at_hand(prompt: Prompt) -> str | None:
    """The position that this prompt is about; None at gates and where no fastener is in question."""
    if isinstance(prompt, Attested):
        return prompt.where.position
    match prompt:
        case Tighten() | Turn() | Recheck() | BackOff() | BackAtMark() | Measure():
            return prompt.where.position
        case Loosen():
            return prompt.position
        case Confirm(pull=pull):
            return None if pull is None else pull.where.position
        case StartSheet() | TakeTool() | SetTool() | ZeroTool() | ReturnTool():
            return None
        case StepState() | Decide() | SignOff() | Finished() | Ended():
            return None
        case _ as never:
            assert_never(never)


def items(prompt: Prompt) -> tuple[Item, ...]:
    """The lines of the menu that fit this prompt."""
    return tuple(item for item in ITEMS if _fits(item, prompt))


def numbered(number: int, prompt: Prompt) -> Item | None:
    """The line with this number, if it fits here."""
    item = _BY_NUMBER.get(number)
    return item if item is not None and _fits(item, prompt) else None


def of_value(value: str, prompt: Prompt) -> Item | None:
    """The line that a choice of this value stands for, if it fits here."""
    return next((item for item in items(prompt) if item.value == value), None)


def choices(prompt: Prompt) -> tuple[Choice, ...]:
    """The menu as choices."""
    return tuple(Choice(str(item.number), item.text, item.value) for item in items(prompt))


def _fits(item: Item, prompt: Prompt) -> bool:
    if isinstance(prompt, Ended):
        return False
    match item.fits:
        case "everywhere":
            return True
        case "pull":
            return is_pull(prompt)
        case "position":
            return position_at_hand(prompt) is not None
