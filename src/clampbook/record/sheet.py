"""The start sheet and the sheet of the end: answers, cautions that were read, preparations, parts, answered queries."""

from __future__ import annotations

from clampbook.procedure.model import Part
from clampbook.record.figures import plain
from clampbook.record.frozen import Frozen
from clampbook.record.history import History
from clampbook.record.tables import Row
from clampbook.record.wording import written
from clampbook.run.events import Asked, CautionsRead, Corrected, PartRecorded, Prepared
from clampbook.run.fold.counts import LEFT_OVER, NEW, missing, needed_of, used
from clampbook.run.use import gone_by, in_unit, named

ALL_NEW = "all new"  # what the answer about one-use fasteners of a group says


def _corrections(run: Frozen) -> dict[str, int]:
    """For each item the line of its last correction."""
    return {event.item: event.seq for event in run.events if isinstance(event, Corrected) and event.item is not None}


def _again(run: Frozen) -> dict[str, int]:
    """For each item the line of its last answer: what was answered before counts no more."""
    return {event.item: event.seq for event in run.events if isinstance(event, Asked | PartRecorded)}


def _later(again: dict[str, int], event: Asked | PartRecorded) -> Row:
    return {"asked_again_at_line": again[event.item] if again[event.item] > event.seq else None}


def answers(run: Frozen) -> list[Row]:
    """Each answer in the order given; a corrected one stays, and points to the line that put it right."""
    asked = {f"ask:{ask.name}": ask for ask in run.plan.asks}
    parts = {event.item for event in run.events if isinstance(event, PartRecorded)}
    corrected, again = _corrections(run), _again(run)
    found: list[Row] = []
    for event in run.events:
        if isinstance(event, Asked):
            late = corrected.get(event.item, 0)
            extra: Row = {"corrected_at_line": late if late > event.seq else None, **_later(again, event)}
        elif isinstance(event, Corrected) and event.item is not None and event.item not in parts:
            extra = {"corrects": event.of, "known": event.known}
        else:
            continue
        ask = asked.get(event.item or "")
        found.append(
            {
                "line": event.seq,
                "asked": ask.name if ask else (event.item or "").removeprefix(NEW),
                "answer": event.typed,
                "left_out": True if event.typed is None else None,
                "value": event.value if event.value != event.typed else None,
                "unit": event.unit,
                **since_the_first_run(run, event),
                "is": ask.searched_as if ask else ALL_NEW if (event.item or "").startswith(NEW) else None,
                "when": ask.when if ask else None,
                **extra,
                **written(event),
            }
        )
    return found


def since_the_first_run(run: Frozen, event: Asked | Corrected) -> Row:
    """Give what a meter showed at the run that is followed up, and how much use went by since: nothing where it shows
    less than then. Of an answer that is no number, neither."""
    first, name = run.opened.of_run, (event.item or "").partition(":")[2]
    meter = None if first is None else named(first.meters, name)
    before = None if meter is None else in_unit(meter, event.unit)
    if before is None or event.value is None:
        return {}
    gone = gone_by(event.value, before)
    if gone is None:
        return {}
    return {"at_first_run": plain(before), "since_first_run": plain(gone) if gone >= 0 else None}


def cautions(run: Frozen) -> list[Row]:
    """Tell the cautions that were read, when and by whom."""
    return [
        {"line": event.seq, "before_stage": event.stage, "read": list(event.cautions), **written(event)}
        for event in run.events
        if isinstance(event, CautionsRead)
    ]


def prepared(run: Frozen) -> list[Row]:
    """Tell what was prepared for each group."""
    return [
        {"line": event.seq, "group": event.group, "done": list(event.prepared), **written(event)}
        for event in run.events
        if isinstance(event, Prepared)
    ]


def parts(run: Frozen, history: History) -> list[Row]:
    """Lots, serial numbers and counts of parts, what was left over, and what the work used against both."""
    asked = {part.name: part for part in run.plan.parts}
    named: dict[str, str] = {}
    corrected, again = _corrections(run), _again(run)
    found: list[Row] = []
    for event in run.events:
        if isinstance(event, PartRecorded):
            named[event.item] = event.part
            late = corrected.get(event.item, 0)
            extra: Row = {"corrected_at_line": late if late > event.seq else None, **_later(again, event)}
        elif isinstance(event, Corrected) and event.item in named:
            extra = {"corrects": event.of, "known": event.known}
        else:
            continue
        item = event.item or ""
        part = asked.get(named[item])
        left_over = item.startswith(LEFT_OVER)
        found.append(
            {
                "line": event.seq,
                "part": named[item],
                "recorded": "left over" if left_over else (part.record if part else None),
                "what": event.typed,
                "value": event.value if event.value != event.typed else None,
                "needed": _needed(run, part) if part and not left_over else None,
                **_used(run, history, part, item),
                **extra,
                **written(event),
            }
        )
    return found


def _needed(run: Frozen, part: Part) -> int | None:
    return needed_of(run.plan, part) if part.record == "count" else part.needed


def _used(run: Frozen, history: History, part: Part | None, item: str) -> Row:
    """Count what the work used of what was counted; beside what is left over, how many of them nobody can account
    for."""
    if part is None or item not in history.progress.counts:
        return {}
    if not item.startswith(LEFT_OVER):
        return {"used": used(run.plan, history.progress, part)}
    off = missing(run.plan, history.progress, part) or 0
    return {"missing": off if off > 0 else None, "too_many": -off if off < 0 else None}


def accepted_queries(run: Frozen) -> list[Row]:
    """Queries of the review that the procedure's file answered, with their reasons; none in plans of old."""
    return [{"query": each.query, "because": each.because} for each in run.plan.accepted_queries]
