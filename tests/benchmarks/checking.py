"""Judging a file of readings against the least that anybody would do with it, and looking through many runs."""

from __future__ import annotations

import csv
import io
import random
import statistics
from collections.abc import Callable
from decimal import Decimal
from pathlib import Path
from time import perf_counter

from benchmarks.walking import Pair
from check.doing import R1, W2
from clampbook.archive.affected import Span
from clampbook.archive.affected_runs import look_through
from clampbook.book.starting.frozen import first_event
from clampbook.check.from_file import judge_file, plan_of_file
from clampbook.check.profile import evenly
from clampbook.procedure.model import Group, Tighten
from clampbook.run import events as e
from clampbook.run.plan import encode
from clampbook.run_folder import RunFolder
from clampbook.tools.identity import Identity, folded
from record.daybooks import Daybook
from record.head import PROCEDURE, THIRTY, W5, a_plan

READINGS, FEW, MANY, TIMES = 10_000, 25, 100, 7


def judged() -> Pair:
    """10 000 readings of two techniques judged, against reading them with csv, their deviations, mean and scatter."""
    data = _file()
    return Pair(_best(lambda: _ours(data)), _best(lambda: _theirs(data)))


def _file() -> bytes:
    """Three points; the same readings whenever it is made."""
    drawn = random.Random(6789)
    rows = ["reference,indicated,technique"]
    for number in range(READINGS):
        point = (20, 60, 100)[number % 3]
        rows.append(f"{drawn.gauss(point, point * 0.01):.2f},{point}.0,{'slow' if number % 2 else 'quick'}")
    return "\n".join((*rows, "")).encode()


def _ours(data: bytes) -> None:
    plan, readings = plan_of_file(W2, R1, data, "readings.csv")
    judge_file(plan, readings)


def _theirs(data: bytes) -> None:
    rows = csv.reader(io.StringIO(data.decode()))
    next(rows)
    off = [(float(indicated) - float(reference)) / float(reference) * 100 for reference, indicated, _ in rows]
    statistics.fmean(off)
    statistics.stdev(off)


def looked_through(folder: Path) -> Pair:
    """What a tool touched in 100 runs, against four times the same in 25: it grows with the size of the runs."""
    runs = [_run(folder / f"20260302-head-{_letters(number)}") for number in range(MANY)]
    opened = first_event(runs[0])
    assert opened is not None
    tool = Identity(W5.id, frozenset({opened.book}), frozenset({folded(W5.serial or "")}))
    span, off = Span(), evenly("lbf·ft", Decimal(5))
    many = _best(lambda: look_through(runs, tool, span, off), 3)
    few = _best(lambda: look_through(runs[:FEW], tool, span, off), 3)
    return Pair(many, MANY / FEW * few)


def _run(path: Path) -> RunFolder:
    """Forty bolts, one reading each."""
    positions = tuple(str(number) for number in range(1, 41))
    group = Group(name="Hull bolts", positions=positions, order=positions)
    stage = Tighten(number=1, group="Hull bolts", positions=positions, target=Decimal(30), window=THIRTY)
    day = Daybook(a_plan((stage,), (group,)))
    day.add(e.ToolTaken, tool=W5)
    for number, position in enumerate(positions):
        day.reading(f"1.1/{position}", f"{28 + number % 4}.{number % 10}")
    path.mkdir(parents=True)
    for name, data in (("procedure.toml", PROCEDURE), ("plan.json", encode(day.plan)), ("daybook.jsonl", day.data)):
        (path / name).write_bytes(data)
    return RunFolder(path)


def _letters(number: int) -> str:
    return "".join("abcdefghijklmnopqrstuvwxyz"[number // 26**place % 26] for place in range(8))


def _best(work: Callable[[], object], times: int = TIMES) -> float:
    """The best of several times, in seconds."""
    taken = []
    for _ in range(times):
        begun = perf_counter()
        work()
        taken.append(perf_counter() - begun)
    return min(taken)
