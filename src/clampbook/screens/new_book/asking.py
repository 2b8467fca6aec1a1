"""The questions about a new book as they are shown: a sentence, its choices, what Enter alone means, what was said."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import assert_never

from clampbook.screens.hinting import BACK_HINT, HELP, choose
from clampbook.screens.new_book.first_tools import DUE, KINDS, in_short, sentence
from clampbook.screens.new_book.said import (
    UNNAMED,
    Asked,
    MeasuresIn,
    Named,
    PrintsOn,
    Said,
    Sure,
    ToolItem,
    Where,
    Works,
)
from clampbook.screens.questions import Line, Question
from clampbook.screens.widgets.bottom_line import KeyHint
from clampbook.tools.against import overdue
from clampbook.unit_table import UNITS_OF, Kind

_GO_ON = KeyHint("Enter", "go on")
MAKE, LEAVE = "make", "leave"
_PAPERS = {"a4": "A4", "letter": "Letter"}
_TORQUES = {unit: unit for unit in UNITS_OF[Kind.TORQUE]}
_ENDS = {MAKE: "make this book", LEAVE: "leave: nothing is saved"}


def question(said: Said) -> Question:
    """The question at hand."""
    asked = said.asked
    lines = tuple(Line(str(number), text) for number, text in enumerate(choices(said).values(), 1))
    typed = not lines or isinstance(asked, Where)
    return Question(type(asked).__name__, _sentence(said, asked), "line" if typed else "choice", lines)


def choices(said: Said) -> Mapping[str, str]:
    """The answers that are offered, each with its words; none where something is typed."""
    match said.asked:
        case Where():
            return {str(said.usual): str(said.usual)}
        case PrintsOn():
            return _PAPERS
        case MeasuresIn() | ToolItem(item="unit"):
            return _TORQUES
        case ToolItem(item="kind"):
            return KINDS
        case Sure():
            return _ENDS
        case _:
            return {}


def _sentence(said: Said, asked: Asked) -> str:
    match asked:
        case Where():
            return "Where should the book be? Press Enter for this folder, or type another."
        case Named():
            return "What is your workshop called?"
        case Works(number=0):
            return "Who works here? Type a name."
        case Works():
            return "Who else works here? Type a name."
        case PrintsOn():
            return "Which paper do you print reports on?"
        case MeasuresIn():
            return "Which torque unit do your manuals use?"
        case ToolItem(tool=tool, item=item):
            return sentence(said.filling(tool), tool, item)
        case Sure():
            return "Make this book?"
        case _ as never:
            assert_never(never)


def enter_alone(said: Said) -> str:
    """Say what Enter on an empty field means here; empty where an answer is needed."""
    match said.asked:
        case Where():
            return "this folder"
        case Named():
            return f"“{UNNAMED}”"
        case Works():
            return "nobody else" if said.people else "people later"
        case PrintsOn():
            return "A4"
        case MeasuresIn():
            return "leave it out"
        case ToolItem(item="name"):
            return "no more tools now" if said.tools else "tools later"
        case ToolItem(item="calibration_due"):
            return "not known"
        case _:
            return ""


def keys(said: Said, field: str = "") -> tuple[KeyHint, ...]:
    """The keys in use; Enter only where it does something with what stands in the field."""
    alone, asked = enter_alone(said), question(said)
    numbers = tuple(line.key for line in asked.choices)
    typed = choose(numbers)[:1] if asked.kind == "choice" else ()
    enter = (_GO_ON,) if field.strip() else (KeyHint("Enter alone", alone),) if alone else ()
    return (*typed, *enter, BACK_HINT, HELP)


def remark(said: Said, today: date) -> str:
    """A sentence about the answer that was just taken; empty where nothing is to be said of it."""
    asked, text = said.answers[-1]
    if not isinstance(asked, ToolItem) or asked.item != DUE or not text:
        return ""
    filling = said.filling(asked.tool)
    day = date.fromisoformat(str(filling.entry[DUE]))
    return f"This date is past. {filling.title}: {overdue(day.isoformat())}." if day < today else ""


def gathered(said: Said) -> tuple[tuple[str, str], ...]:
    """All that was said so far, each with its name; what was left out is not listed before the end."""
    told: dict[str, str] = {}
    for asked, text in said.answers:
        match asked:
            case Where():
                told["folder"] = str(said.folder)
            case Named():
                told["name"] = text or UNNAMED
            case Works():
                told["people"] = ", ".join(said.people) or "later"
            case PrintsOn():
                told["paper"] = _PAPERS.get(text, "A4")
            case MeasuresIn():
                told["unit"] = text or "left out"
            case ToolItem(tool=tool):
                told[f"tool {tool}"] = in_short(said.filling(tool)) or "later"
            case Sure():
                pass
            case _ as never:
                assert_never(never)
    return tuple(told.items())
