"""The items of the start sheet and of the end, in order, and which are still to be answered."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from msgspec.structs import replace

from clampbook.procedure.naming import within_a_sentence
from clampbook.run.fold.counts import AT_HAND, LEFT_OVER, NEW, needed_of, one_use
from clampbook.run.plan import Plan
from clampbook.run.progress import Progress
from clampbook.run.prompts import Prompt, StartSheet
from clampbook.run.use import due_by_use, in_unit, named


def start_items(plan: Plan) -> Iterator[StartSheet]:
    """Yield what is asked before anybody touches a bolt."""
    if plan.cautions:
        yield StartSheet(item="cautions", when="start", required=True, lines=plan.cautions)
    for ask in plan.asks:
        if ask.when == "start":
            yield StartSheet(item=f"ask:{ask.name}", when="start", required=ask.required, ask=ask)
    for part in plan.parts:
        needed = needed_of(plan, part) if part.record == "count" else None
        item = f"{AT_HAND}{part.name}"
        new = one_use(plan, item)
        yield StartSheet(item=item, when="start", required=True, part=part, needed=needed, one_use=new)
    if plan.follow_up is not None:
        return
    for name in plan.asked_new or ():
        yield StartSheet(item=f"{NEW}{name}", when="start", required=True, group=name, one_use=True)
    for name, (group, *_) in plan.alike.items():
        if group.prepare:
            yield StartSheet(item=f"prepare:{name}", when="start", required=True, lines=group.prepare, group=name)


def end_items(plan: Plan) -> Iterator[StartSheet]:
    """Yield what is asked when the last step is done."""
    for ask in plan.asks:
        if ask.when == "end":
            yield StartSheet(item=f"ask:{ask.name}", when="end", required=ask.required, ask=ask)
    for part in plan.parts:
        if part.left_over:
            yield StartSheet(item=f"{LEFT_OVER}{part.name}", when="end", required=True, part=part)


def item_told(item: str) -> str:
    """Name an item that the form leaves blank, or a role: of what is prepared the bolts alone would say nothing."""
    kind, _, name = item.partition(":")
    return f"{within_a_sentence(name)} prepared" if kind == "prepare" else name or kind


def next_item(plan: Plan, progress: Progress, *, at_end: bool) -> StartSheet | None:
    """The first item that is not answered; the thing worked on may have been named when the run was opened."""
    for each in end_items(plan) if at_end else start_items(plan):
        known = each.ask is not None and each.ask.searched_as == "equipment" and progress.equipment is not None
        if not known and each.item not in progress.items:
            return replace(beside_the_first_run(progress, each), on_form=plan.late)
    return None


def beside_the_first_run(progress: Progress, item: StartSheet) -> StartSheet:
    """Give the same item; where it asks for a meter, with what that showed at the run that is followed up."""
    ask = item.ask
    meter = None if ask is None else named(progress.meters_before, ask.name)
    then = None if meter is None or ask is None else in_unit(meter, ask.unit)
    if meter is None or then is None:
        return item
    due = due_by_use(progress.meters_before, progress.due_after) if progress.due_after is not None else None
    at = due.at.value if due is not None and due.meter == meter else None
    return replace(item, before=then, due_at=at)


def names_the_thing(plan: Plan, item: str | None) -> bool:
    """True where this item of the sheet asks for the thing worked on."""
    return any(ask.searched_as == "equipment" and item == f"ask:{ask.name}" for ask in plan.asks)


def worked_on(plan: Plan, progress: Progress, item: str, typed: str | None) -> str | None:
    """The thing worked on: the answer to this item where it asks for that, else as it was known before."""
    return typed if typed is not None and names_the_thing(plan, item) else progress.worked_on


@dataclass(frozen=True, slots=True)
class SheetLine:
    """One item of the sheet as it stands on the form: how it is called, its name in the daybook, whether it is asked
    now, and whether it names the thing that is worked on."""

    name: str
    item: str
    here: bool
    names_the_thing: bool


def sheet_at(plan: Plan, prompt: Prompt) -> tuple[SheetLine, ...]:
    """The whole sheet of which an item is asked; nothing at any other question."""
    if not isinstance(prompt, StartSheet):
        return ()
    items = start_items(plan) if prompt.when == "start" else end_items(plan)
    return tuple(
        SheetLine(
            _name_of(each),
            each.item,
            here=each.item == prompt.item,
            names_the_thing=each.ask is not None and each.ask.searched_as == "equipment",
        )
        for each in items
    )


def _name_of(item: StartSheet) -> str:
    if item.ask is not None:
        return item.ask.name
    if item.part is not None:
        what = "left over" if item.when == "end" else item.part.record
        return item.part.name if what == "yes" else f"{item.part.name}, {what}"
    if item.one_use:
        return f"{item.group}, all new"
    return f"Prepare: {item.group}" if item.group is not None else "Cautions"
