"""The start sheet: looks like one form, but each item is an answer of its own and is stored when it is left."""

from __future__ import annotations

from collections.abc import Iterable

from msgspec.structs import replace

from clampbook.run import events as e
from clampbook.run.fold.departing import NOT_ALL_TICKED
from clampbook.run.last_run import answers_of
from clampbook.run.questions.items import SheetLine
from clampbook.screens.choosing import Item
from clampbook.screens.shown import Shown

_READ = "read"
_DONE = "done"
_SOME = "some ticked"
_BLANK = "? nothing on the form"
LEFT_OUT = "left out"
_NOT_REQUIRED = "(not required by the procedure)"


def answered(events: Iterable[e.Event]) -> dict[str, str]:
    """Give the answer to each item, by the item's name in the daybook; a corrected answer is the later one."""
    lines = tuple(events)
    found = {item: LEFT_OUT if typed is None else typed for item, typed in answers_of(lines).items()}
    for event in lines:
        if isinstance(event, e.CautionsRead):
            found[event.item] = _SOME if NOT_ALL_TICKED in event.noted else _READ
        if isinstance(event, e.Prepared):
            found[event.item] = _SOME if NOT_ALL_TICKED in event.noted else _DONE
        if isinstance(event, e.LeftBlank) and event.item is not None:
            found[event.item] = _BLANK
    return found


def form(shown: Shown, sheet: Iterable[SheetLine], answers: dict[str, str], unit: str | None) -> Shown:
    """The item at hand among all others; `unit` is the thing worked on where it was named when the run was opened."""
    items = []
    for line in sheet:
        answer = answers.get(line.item, unit if line.names_the_thing else None)
        remark = _NOT_REQUIRED if answer == LEFT_OUT else ""
        items.append(Item(line.name, answer, line.here, remark))
    return replace(shown, items=tuple(items))
