"""Question marks on pulls, and page one's rows of them: read off what the walk held in question at its last line."""

from __future__ import annotations

from collections.abc import Iterator

from clampbook.record.frozen import Frozen
from clampbook.record.history import History
from clampbook.record.pull import Pull
from clampbook.record.tables import Row
from clampbook.run.events import ToolSuspected, ToolTaken
from clampbook.run.progress import InQuestion
from clampbook.work.frozen import RecordFault


def mark(history: History) -> None:
    """Put a question mark on every pull that a wrong zero, a drop, a suspicion or a failed check of its tool calls into
    question."""
    for row in history.pulls:
        if row.corrects is not None:  # the pull is the one that was mistyped, whenever that was put right
            named = history.at_line.get(row.corrects, ())
            first = next((each for each in named if each.step is row.step), None)
            if first is None:
                told = f"it corrects line {row.corrects}, which tells of no pull at {row.step.id}."
                raise RecordFault(f"daybook.jsonl, line {row.line}: {told}")
            row.questioned = first.questioned
        else:
            row.questioned = [each.line for each in history.progress.in_question if _of(each, row)]


def in_question(run: Frozen, history: History) -> Iterator[Row]:
    """Give what is in question, in the order in which it came to light, each with how many pulls carry it."""
    names = {event.tool.id: event.tool.name for event in run.events if isinstance(event, ToolTaken)}
    for each in history.progress.in_question:
        pulls = sum(row.corrects is None and _of(each, row) for row in history.pulls)
        if pulls:
            yield {
                "tool": each.tool,
                "name": names.get(each.tool, each.tool),
                "why": each.why,
                "reason": each.because,
                "on": None if each.on is None else each.on[:10],
                "check": each.check,
                "off_percent": each.off,
                "heard": None if each.here else True,
                "line": each.line,
                "since_line": each.since,
                "until_line": each.until,
                "pulls": pulls,
            }


def _of(asked: InQuestion, row: Pull) -> bool:
    return row.tool == asked.tool and asked.holds(row.line)


def suspicion(event: ToolSuspected) -> Row:
    """Give the facts of a line that calls a tool into question."""
    happened = event.trouble
    on = event.found if happened is None else happened.on
    return {
        "why": event.kind,
        "reason": event.why if happened is None else happened.why,
        "on": None if on is None else on[:10],
        "check": event.check,
        "off_percent": event.off,
        "heard": None if event.here else True,
        "since_line": event.since,
    }
