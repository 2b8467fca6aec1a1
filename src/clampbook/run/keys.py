"""What can be typed at a prompt: the keys of its choices, and what is wanted in so many words."""

from __future__ import annotations

from typing import assert_never

from clampbook.procedure.model import Ask, Part
from clampbook.run import kinds
from clampbook.run.draft import NONE
from clampbook.run.kinds.pulls import BAD_PULL
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
    ToolOffer,
    ZeroTool,
)
from clampbook.units import show_window

PLUS = "+"
YES, NO = "1", "2"
YES_OR_NO = (Choice(YES, "yes", "yes"), Choice(NO, "no", "no"))
_SHORT = 40  # characters of choices that still fit into one line with the rest


def choices(prompt: Prompt) -> tuple[Choice, ...]:
    """What can be chosen by key at this prompt itself, the menu left aside."""
    if isinstance(prompt, kinds.Asked):
        return kinds.of(prompt).keys(prompt).choices
    match prompt:
        case StartSheet():
            return _of_the_sheet(prompt)
        case TakeTool(offers=offers):
            return tuple(Choice(str(n), offered(offer), offer.tool.id) for n, offer in enumerate(offers, 1))
        case ZeroTool():
            return (
                Choice("1", "good", "good"),
                Choice("2", "it came back wrong", "wrong"),
                Choice("3", "unknown", "unknown"),
            )
        case StepState(choices=states):
            return states
        case Decide(choices=ways):
            return tuple(Choice(str(n), way.text, way.value) for n, way in enumerate(ways, 1))
        case ReturnTool(wind_down=True):
            return (Choice("1", "put back, wound down", "wound_down"), Choice("2", "put back as it is", "left_set"))
        case ReturnTool():
            return (Choice(PLUS, "put back", "put_away"),)
        case SignOff(left=left) if left:
            return (Choice(NONE, "leave the others unsigned", "leave_others_open"),)
        case SignOff(required=required):
            return () if required else (Choice(NONE, "leave unsigned", "leave_open"),)
        case Finished(outcome=outcome):
            return (
                Choice("1", f"close the run: {outcome}", "close"),
                Choice("2", "close it as not accepted", "not_accepted"),
            )
        case SetTool() | Ended():
            return ()
        case _ as never:
            assert_never(never)


def can_be_typed(prompt: Prompt) -> str:
    """One sentence that says what can be typed here, on top of the menu; long lists are only counted."""
    ways = [way for way in (wanted(prompt), *_keys(prompt)) if way]
    return f"Type {'; '.join(ways)}; * for all else." if ways else "Type * for all else."


def listed(prompt: Prompt) -> tuple[Choice, ...]:
    """The choices that are too long for the line of keys and stand one a line above it."""
    own = tuple(choice for choice in choices(prompt) if choice.key not in (PLUS, NONE))
    return own if sum(len(choice.text) for choice in own) > _SHORT else ()


def _keys(prompt: Prompt) -> tuple[str, ...]:
    """The keys with what they mean; a long list as "a number from 1 to 5"."""
    long = listed(prompt)
    short = ", ".join(f"{choice.key} {choice.text}" for choice in choices(prompt) if choice not in long)
    span = f"a number from {long[0].key} to {long[-1].key}" if len(long) > 1 else "".join(c.key for c in long)
    return tuple(way for way in (span, short) if way)


def wanted(prompt: Prompt) -> str | None:
    """What is typed here in so many words: "the reading in lbf·ft", "the lot"; None where only keys are taken."""
    if isinstance(prompt, kinds.Asked):
        return kinds.of(prompt).keys(prompt).wanted
    match prompt:
        case StartSheet():
            return _wanted_by_the_sheet(prompt)
        case SetTool(tool=tool):
            return f"the number that the scale of {tool.name} shows"
        case SignOff():
            return "the name, or its number in the list"
        case TakeTool() | ZeroTool() | ReturnTool():
            return None
        case StepState() | Decide() | Finished() | Ended():
            return None
        case _ as never:
            assert_never(never)


def acts_alone(choice: Choice) -> bool:
    """Whether its key needs no Enter: it says that an act is done, or only opens a question."""
    return choice.key == PLUS or choice.value == BAD_PULL


def takes_text(prompt: Prompt) -> bool:
    """Whether letters are an answer here, so that none of them is a key."""
    if isinstance(prompt, kinds.Asked):
        return kinds.of(prompt).keys(prompt).types == "text"
    match prompt:
        case StartSheet(ask=Ask(answer="text")) | StartSheet(part=Part(record="lot" | "serial number")):
            return True
        case SignOff() | TakeTool() | SetTool():
            return True
        case StartSheet() | ZeroTool() | ReturnTool():
            return False
        case StepState() | Decide() | Finished() | Ended():
            return False
        case _ as never:
            assert_never(never)


def takes_number(prompt: Prompt) -> bool:
    """Whether digits are an answer here, as a number or as the key of a choice."""
    if isinstance(prompt, kinds.Asked):
        own = kinds.of(prompt).keys(prompt)
        return own.types != "keys" or any(choice.key.isdecimal() for choice in own.choices)
    match prompt:
        case SetTool() | StartSheet() | SignOff():
            return True
        case TakeTool() | ZeroTool() | ReturnTool():
            return any(choice.key.isdecimal() for choice in choices(prompt))
        case StepState() | Decide() | Finished() | Ended():
            return any(choice.key.isdecimal() for choice in choices(prompt))
        case _ as never:
            assert_never(never)


def _of_the_sheet(prompt: StartSheet) -> tuple[Choice, ...]:
    ask, part = prompt.ask, prompt.part
    leave = () if prompt.required else (Choice(NONE, "leave out", "leave_out"),)
    if ask is not None and ask.answer == "choice":
        return (*(Choice(str(n), text, text) for n, text in enumerate(ask.choices, 1)), *leave)
    if (ask is not None and ask.answer == "yes") or (part is not None and part.record == "yes"):
        return (*YES_OR_NO, *leave)
    if ask is None and part is None:
        return (_done("done") if prompt.group else _done("read"), *leave)
    return (*((Choice(PLUS, "as last time", "same"),) if prompt.last is not None else ()), *leave)


def _wanted_by_the_sheet(prompt: StartSheet) -> str | None:
    if any(choice.key.isdecimal() for choice in _of_the_sheet(prompt)):
        return None
    if prompt.ask is not None:
        return f"a number in {prompt.ask.unit}" if prompt.ask.unit else f"a {prompt.ask.answer}"
    return f"the {prompt.part.record}" if prompt.part is not None else None


def _done(word: str) -> Choice:
    return Choice(PLUS, word, word)


def offered(offer: ToolOffer) -> str:
    """A tool in one line: name, kind, scale, and what speaks against it."""
    tool = offer.tool
    kind = "from mark to mark, no gauge" if tool.kind == "marks" else f"{tool.kind} tool"
    kind = "angle gauge" if tool.kind == "angle gauge" else kind
    reach = f", {show_window(tool.minimum, tool.maximum, tool.unit)}" if tool.maximum is not None else ""
    against = (f"cannot be used, as {offer.cannot}",) if offer.cannot else offer.refused
    before = ", used last time" if offer.last else ""
    own = f"{tool.name}: "
    told = (each.removeprefix(own) for each in (*against, *offer.notes))
    return "; ".join((f"{tool.name}, {kind}{reach}{before}", *told))
