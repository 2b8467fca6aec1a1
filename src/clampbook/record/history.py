"""The history of a run, as its walk took it: how it stands at the last line, its acts, and those that are pulls as
rows.

Nothing is counted here: which attempt an act belongs to, whether it counts and what was done is told by the fold.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from clampbook.record.frozen import Frozen
from clampbook.record.pull import ROWS, Pull, exact, kind_of_row
from clampbook.run.events import TakenBack
from clampbook.run.fold.acts import Act
from clampbook.run.fold.follow import tell as told_by_the_walk
from clampbook.run.progress import Progress
from clampbook.work.daybook import MISFIT
from clampbook.work.frozen import RecordFault

Outcomes = list[tuple[str, dict[str, str]]]  # each position with the outcome of each of its steps


@dataclass(slots=True)
class History:
    """All acts in the order of the daybook; `pulls` are those with a row in the table of pulls, `at_line` by line;
    `at_position` are all acts by position. `outcomes` are those of `outcome_of_each`, once somebody asked."""

    progress: Progress
    acts: tuple[Act, ...]
    pulls: list[Pull] = field(default_factory=list)
    at_line: dict[int, list[Pull]] = field(default_factory=dict)
    at_position: dict[str, list[Act]] = field(default_factory=dict)
    started_over: dict[int, tuple[str, ...]] = field(default_factory=dict)  # as in `Told`
    outcomes: Outcomes | None = None


def tell(run: Frozen) -> History:
    """The history of a run; raises RecordFault where its lines cannot have come of its plan."""
    _named_lines(run)
    try:
        told = told_by_the_walk(run.plan, run.events)
    except MISFIT as error:
        _numbers(run)
        raise RecordFault(
            "daybook.jsonl tells of something that cannot have come of plan.json: was one of them changed?"
        ) from error
    history = History(told.progress, told.acts, started_over=told.started_over)
    for act in told.acts:
        if act.position is not None:
            history.at_position.setdefault(act.position, []).append(act)
        if kind_of_row(act) in ROWS:
            row = Pull(act, run.events[act.line - 1], run.plan.steps[run.plan.index_of[act.step]])
            history.pulls.append(row)
            history.at_line.setdefault(row.line, []).append(row)
    return history


def _numbers(run: Frozen) -> None:
    """Every number that was measured is one; raises RecordFault with the first that is not."""
    for event in run.events:
        if getattr(event, "step", None) is not None:
            for name in ("value", "at_fastener", "sum", "result"):
                written = getattr(event, name, None)
                if isinstance(written, str):
                    exact(written, event.seq)


def _named_lines(run: Frozen) -> None:
    """Every step and line that a line names is there; raises RecordFault with the first that is not."""
    for event in run.events:
        for name in ("step", "first", "last"):
            step = getattr(event, name, None)
            if isinstance(step, str):
                run.step(event, step)
        of = None if isinstance(event, TakenBack) else getattr(event, "of", None)  # only its place is left
        if of is not None and not 0 < of < event.seq:
            raise RecordFault(f"daybook.jsonl, line {event.seq}: it names line {of}, which is no line before it.")
