"""A step at a joint of ten bolts against one at ten thousand, and taking up a run against only parsing its lines."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from itertools import cycle
from pathlib import Path
from statistics import median
from time import perf_counter
from unittest.mock import patch

from bench import INES
from benchmarks.joints import row_of_bolts
from clampbook.ledger.ledger import Ledger, read
from clampbook.run import events as e
from clampbook.run import prompts as ask
from clampbook.run.answers import Accepted, Answer, TakeUp, Value, Zero
from clampbook.run.fold.apply import apply
from clampbook.run.plan import Plan
from clampbook.run.progress import Progress
from clampbook.run.walk import Walk, read_progress
from clampbook.tools.model import Stock, Tool

FEW, MANY = 10, 10_000
EVENTS = 100_000
STEPS = 600  # measured of each, in turns
GAUGED = Tool(
    id="w7",
    name="W7",
    kind="indicating",
    unit="N·m",
    minimum=Decimal(5),
    maximum=Decimal(100),
    resolution=Decimal("0.1"),
)
READINGS = cycle(("29.8", "30.1", "30.4", "29.9", "30.2"))


class Moving:
    """A clock that goes on by three seconds whenever it is looked at."""

    def __init__(self) -> None:
        self._now = datetime(2026, 3, 2, 9, tzinfo=UTC)

    def now(self) -> datetime:
        """The time now."""
        self._now += timedelta(seconds=3)
        return self._now


@dataclass(frozen=True)
class Pair:
    """Seconds of ours and of what it is held against."""

    ours: float
    theirs: float

    @property
    def ratio(self) -> float:
        """How many times as long ours takes."""
        return self.ours / self.theirs


@contextmanager
def quickly() -> Iterator[None]:
    """Lines are not made safe on the disk one by one; for building what is measured only."""
    with patch("os.fsync"):
        yield


def opened(plan: Plan, path: Path) -> Walk:
    """A run of this plan at its first line."""
    ledger = Ledger.open(path, create=True)
    first = e.Opened(
        at="2026-03-02T09:00:00.000Z",
        offset="+00:00",
        by=INES.id,
        daybook=2,
        run="20260302-row-aaaaaaaa",
        book="benchmark",
        log_head="0" * 64,
        procedure_sha256="0" * 64,
        plan_sha256="0" * 64,
        person=INES,
        version="0",
        clock="handed in",
    )
    ledger.append(e.fields(first))
    return Walk.take_up(
        plan, ledger, clock=Moving(), person=INES, stock=Stock((GAUGED,)), people=(INES,), exempt=True, fresh=True
    )


def fitting(asked: ask.Prompt) -> Answer:
    """An answer that lets the work go on."""
    match asked:
        case ask.TakeTool():
            return TakeUp(GAUGED.id)
        case ask.ZeroTool():
            return Zero("good")
        case _:
            return Value(next(READINGS))


def step(walk: Walk) -> None:
    """One whole step: what is asked is shown, answered, decided, written, synced, folded."""
    walk.painted()
    outcome = walk.answer(fitting(walk.prompt))
    assert isinstance(outcome, Accepted), outcome


def half_way(count: int, rounds: int, folder: Path) -> Walk:
    """A run that stands in the middle of its work."""
    walk = opened(row_of_bolts(count, rounds), folder / f"{count}x{rounds}.jsonl")
    with quickly():
        while len(walk.session.progress.positions) < count // 2 or not isinstance(walk.prompt, ask.Tighten):
            step(walk)
    return walk


def whole_steps(folder: Path) -> Pair:
    """Median seconds of a step with ten thousand positions, and with ten, taken in turns."""
    many, few = half_way(MANY, 1, folder), half_way(FEW, STEPS, folder)
    return in_turns(lambda: step(many), lambda: step(few), STEPS)


def folds(folder: Path) -> Pair:
    """The same for `apply` alone, on the next reading."""
    return in_turns(_next_fold(MANY, folder), _next_fold(FEW, folder), STEPS * 10)


def _next_fold(count: int, folder: Path) -> Callable[[], object]:
    walk = half_way(count, 2, folder)
    plan, before = walk.plan, walk.session.progress
    with quickly():
        outcome = walk.answer(fitting(walk.prompt))
    assert isinstance(outcome, Accepted)
    event = outcome.event
    return lambda: apply(plan, before, event)


def resuming(folder: Path) -> Pair:
    """Least seconds of reading, checking and folding the lines of a long run, and of `json.loads` of each line."""
    plan, path = row_of_bolts(MANY, EVENTS // MANY), folder / "long.jsonl"
    walk = opened(plan, path)
    with quickly():
        while walk.session.progress.seq < EVENTS:
            step(walk)
    del walk
    lines = read(path)[0]
    assert len(lines) == EVENTS
    ours, theirs = [], []
    for _ in range(5):
        theirs.append(seconds(lambda: [json.loads(line) for line in lines]))
        ours.append(seconds(lambda: taken_up(plan, path)))
    return Pair(min(ours), min(theirs))


def taken_up(plan: Plan, path: Path) -> Progress:
    """The state of a run, all its lines read, checked and folded."""
    ledger = Ledger.open(path)
    progress = read_progress(path, plan, ledger.lines)
    assert progress.seq == len(ledger.lines)
    return progress


def in_turns(ours: Callable[[], object], theirs: Callable[[], object], times: int) -> Pair:
    """Median seconds of both, one after the other so that a busy disk hits both."""
    took: tuple[list[float], list[float]] = ([], [])
    for _ in range(times):
        took[0].append(seconds(ours))
        took[1].append(seconds(theirs))
    return Pair(median(took[0]), median(took[1]))


def seconds(work: Callable[[], object]) -> float:
    """How long it takes once."""
    begun = perf_counter()
    work()
    return perf_counter() - begun
