"""Question marks: what a tool showed since its last good zero, once it comes to light that it may have been off."""

from __future__ import annotations

from dataclasses import dataclass, field

from clampbook.record.frozen import Frozen
from clampbook.record.history import History
from clampbook.record.pull import Pull
from clampbook.run.events import Event, ToolDoubted, ToolDropped, ToolReturned, ToolTaken, ToolZeroed


@dataclass(slots=True)
class _Trust:
    """A tool in use: its pulls since the last good zero (or since it was taken up), and what is held against it."""

    since_good: list[Pull] = field(default_factory=list)
    all: list[Pull] = field(default_factory=list)
    doubt: str | None = None
    in_hand: bool = False

    def clear(self) -> None:
        self.since_good, self.doubt = [], None


def mark(run: Frozen, history: History) -> None:
    """Put a question mark on every pull that a wrong zero, a drop or a doubt about its tool calls into question.

    What the tool showed before goes back to its last good zero or take-up; what it shows after goes on until the next.
    """
    tools: dict[str, _Trust] = {}
    for event in run.events:
        for row in history.at_line.get(event.seq, ()):
            if row.tool is not None and row.corrects is None:
                _used(tools.setdefault(row.tool, _Trust()), row)
        _trouble(tools, event)
    for row in history.pulls:
        if row.corrects is not None:  # the pull is the one that was mistyped, whenever that was put right
            named = history.at_line[row.corrects]
            row.questions = next(each.questions for each in named if each.step is row.step)


def _used(trust: _Trust, row: Pull) -> None:
    trust.since_good.append(row)
    trust.all.append(row)
    if trust.doubt is not None:
        row.questions.append(trust.doubt)


def _trouble(tools: dict[str, _Trust], event: Event) -> None:
    match event:
        case ToolTaken(tool=tool):
            trust = tools.setdefault(tool.id, _Trust())
            if not trust.in_hand:
                trust.clear()
            trust.in_hand = True
        case ToolReturned(tool=name):
            tools.setdefault(name, _Trust()).in_hand = False
        case ToolZeroed(tool=name, state="good"):
            tools.setdefault(name, _Trust()).clear()
        case ToolZeroed(tool=name, state="came back wrong"):
            _doubt(tools.setdefault(name, _Trust()), f"{name}: zero came back wrong at line {event.seq}", None)
        case ToolDropped(tool=name, going_on=going_on):
            trust = tools.setdefault(name, _Trust())
            _doubt(trust, f"{name}: dropped at line {event.seq}", None)
            trust.in_hand = trust.in_hand and going_on is not None
        case ToolDoubted(tool=name, why=why, since=since):
            _doubt(tools.setdefault(name, _Trust()), f"{name}: doubted at line {event.seq}, {why}", since)
        case _:
            pass


def _doubt(trust: _Trust, words: str, since: int | None) -> None:
    """Question what was pulled since the last good zero, or since a line; and what comes until the next good one."""
    for row in trust.since_good if since is None else trust.all:
        if since is None or row.line >= since:
            row.questions.append(words)
    trust.since_good, trust.doubt = [], words
