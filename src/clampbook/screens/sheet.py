"""The start sheet: looks like one form, but each item is an answer of its own and is stored when it is left."""

from __future__ import annotations

from collections.abc import Iterable

from msgspec.structs import replace

from clampbook.run import events as e
from clampbook.run.last_run import answers_of
from clampbook.run.plan import Plan
from clampbook.run.prompts import StartSheet
from clampbook.run.questions.items import end_items, start_items
from clampbook.screens.choosing import Item
from clampbook.screens.shown import Shown

_READ = "read"
_DONE = "done"
LEFT_OUT = "left out"
_NOT_REQUIRED = "(not required by the sheet)"


def answered(events: Iterable[e.Event]) -> dict[str, str]:
    """What was answered to which item, by the item's name in the daybook; a corrected answer is the later one."""
    lines = tuple(events)
    found = {item: LEFT_OUT if typed is None else typed for item, typed in answers_of(lines).items()}
    for event in lines:
        match event:
            case e.CautionsRead(item=item):
                found[item] = _READ
            case e.Prepared(item=item):
                found[item] = _DONE
    return found


def name_of(item: StartSheet) -> str:
    """How an item is called on the form."""
    if item.ask is not None:
        return item.ask.name
    if item.part is not None:
        what = "left over" if item.when == "end" else item.part.record
        return item.part.name if what == "yes" else f"{item.part.name}, {what}"
    return f"Prepare: {item.group}" if item.group is not None else "Cautions"


def form(shown: Shown, plan: Plan, prompt: StartSheet, answers: dict[str, str], unit: str | None) -> Shown:
    """The item at hand among all others; `unit` is the thing worked on where it was named when the run was opened."""
    of_this = start_items(plan) if prompt.when == "start" else end_items(plan)
    items = []
    for each in of_this:
        named = unit if each.ask is not None and each.ask.searched_as == "unit" else None
        answer = answers.get(each.item, named)
        remark = _NOT_REQUIRED if answer == LEFT_OUT else ""
        items.append(Item(name_of(each), answer, each.item == prompt.item, remark))
    return replace(shown, items=tuple(items), unit=(prompt.ask.unit or "") if prompt.ask is not None else "")
