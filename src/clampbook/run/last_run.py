"""The answers and tools of the last time that the same work was done: offered for choosing, never taken by itself."""

from __future__ import annotations

from collections.abc import Iterable
from typing import assert_never

from msgspec import Struct
from msgspec.structs import replace

from clampbook.procedure.model import Ask, Part
from clampbook.run import events as e
from clampbook.run.prompts import StartSheet


class LastRun(Struct, frozen=True):
    """The answers of the run before, as they were typed, by the item's name in the daybook; the thing worked on where
    it was named when that run was opened; the ids of the tools that were taken up."""

    answers: dict[str, str] = {}
    equipment: str | None = None
    tools: frozenset[str] = frozenset()


NOTHING = LastRun()


def answers_of(events: Iterable[e.Event]) -> dict[str, str | None]:
    """Give what was typed to which item; None where it was left out. A corrected answer is the later one."""
    found: dict[str, str | None] = {}
    line_of: dict[int, str] = {}
    for event in events:
        if isinstance(event, e.Asked | e.PartRecorded):
            found[event.item] = event.typed
            line_of[event.seq] = event.item
        elif isinstance(event, e.Corrected) and event.of in line_of:
            found[line_of[event.of]] = event.typed
            line_of[event.seq] = line_of[event.of]
    return found


def remembered(events: tuple[e.Event, ...]) -> LastRun:
    """Pick from a run's lines what is of use in the next one."""
    typed = {item: answer for item, answer in answers_of(events).items() if answer is not None}
    equipment = next((event.equipment for event in events if isinstance(event, e.Opened)), None)
    return LastRun(typed, equipment, frozenset(event.tool.id for event in events if isinstance(event, e.ToolTaken)))


def offering(item: StartSheet, last: LastRun) -> StartSheet:
    """The item with its answer of the run before, where it has one that may be given again.

    Names, orders, choices and lots may; whatever is read off, counted or looked at now is never offered.
    """
    match item:
        case StartSheet(when="start", ask=Ask(answer="text" | "choice") as ask) if ask.searched_as != "usage":
            before = last.answers.get(item.item) or (last.equipment if ask.searched_as == "equipment" else None)
            known = ask.answer == "text" or before in ask.choices
            return replace(item, last=before) if before is not None and known else item
        case StartSheet(when="start", part=Part(record="lot")):
            return replace(item, last=last.answers.get(item.item))
        case StartSheet():
            return item
        case _ as never:
            assert_never(never)
