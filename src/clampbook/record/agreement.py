"""The agreement of the record with the walk about every step: it is done for both of them, or for neither.

Where they differ the work is recorded all the same, and the record says at which line.
"""

from __future__ import annotations

from collections.abc import Iterator

from clampbook.record.frozen import Frozen
from clampbook.record.history import History
from clampbook.record.positions import SKIPPED, UNDONE, outcome_of_each
from clampbook.run.events import Closed
from clampbook.run.fold.acts import NOT_DRAWN
from clampbook.run.progress import standing

_NOT_DONE = (*UNDONE, SKIPPED)
_FINISHED = ("done", "accepted", "trial")  # a run ends so only once nothing is left to be done


def disagrees_at(run: Frozen, history: History) -> int | None:
    """The first line at which the record and the walk say different things of a step; None where they never do."""
    return min((*_at_positions(run, history), *_at_gates(run, history)), default=None)


def _at_positions(run: Frozen, history: History) -> Iterator[int]:
    finished = _finished(run)
    for position, outcomes in outcome_of_each(run, history):
        through = standing(history.progress, position).through
        for index in run.plan.steps_of.get(position, ()):
            name = run.plan.steps[index].id
            if outcomes[name] == NOT_DRAWN:
                continue
            by_the_walk, by_the_record = through >= index, outcomes[name] not in _NOT_DONE
            if by_the_walk != by_the_record if finished else by_the_walk and not by_the_record:
                yield _last_line(run, history, position, name)


def _at_gates(run: Frozen, history: History) -> Iterator[int]:
    finished, passed = _finished(run), history.progress.frames[0].next
    if history.progress.not_accepted:
        return
    for index, name in gates(run):
        by_the_walk, by_the_record = passed > index, answered(history, name)
        if by_the_walk != by_the_record if finished else by_the_walk and not by_the_record:
            yield _last_line(run, history, None, name)


def gates(run: Frozen) -> Iterator[tuple[int, str]]:
    """Place and name of each step that is at no position."""
    return ((index, step.id) for index, step in enumerate(run.plan.steps) if step.position is None)


def not_done(run: Frozen, history: History) -> list[tuple[str | None, str]]:
    """Position (None: a gate) and step of everything that was never done."""
    found: list[tuple[str | None, str]] = [
        (position, step)
        for position, outcomes in outcome_of_each(run, history)
        for step, word in outcomes.items()
        if word in UNDONE
    ]
    return found + [(None, name) for _, name in gates(run) if not answered(history, name)]


def answered(history: History, gate: str) -> bool:
    """Tell whether anything was done at a gate."""
    return any(act.step == gate and not act.work for act in history.acts)


def _finished(run: Frozen) -> bool:
    return isinstance(run.ended, Closed) and run.ended.outcome in _FINISHED


def _last_line(run: Frozen, history: History, position: str | None, step: str) -> int:
    """The last line about a step, else about its position, else the last of all."""
    here = [act.line for act in history.acts if act.step == step and act.position == position]
    around = [act.line for act in history.acts if position is not None and act.position == position]
    return max(here or around, default=len(run.events))
