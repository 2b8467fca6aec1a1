"""The steps that the walk went past undone: each accepted by concession, and what is read after it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import assert_never

from msgspec import Struct

from clampbook.procedure.model import Align, Attested, Loosen, Measure, Recheck, Stage, Tighten, Turn
from clampbook.record.frozen import Frozen
from clampbook.record.history import History
from clampbook.record.pull import COUNTS
from clampbook.run.plan import Step
from clampbook.run.progress import standing

NAMED = {
    "pull": "pull",
    "stretch": "stretch",
    "turn": "turn",
    "final torque": "last torque",
    "recheck": "recheck",
    "measurement": "measurement",
}


class LeftOut(Struct, frozen=True):
    """Kinds of readings that a step wants and that no line tells of; `line` is that of the concession."""

    position: str
    step: Step
    kinds: tuple[str, ...]
    line: int


def left_out(run: Frozen, history: History) -> Iterator[LeftOut]:
    """All of it, in the order of the plan."""
    kept = {(row.position, row.step.id, row.kind) for row in history.pulls if row.standing == COUNTS}
    accepted = {
        (act.position, act.step): act.line
        for act in history.acts
        if act.kind == "decision" and "concession" in act.outcome
    }
    for index, step in enumerate(run.plan.steps):
        line = accepted.get((step.position, step.id))
        if step.position is None or line is None or standing(history.progress, step.position).through < index:
            continue
        kinds = tuple(
            kind for kind in _wanted(run.plan.stage_of(step), step.round) if (step.position, step.id, kind) not in kept
        )
        if kinds:
            yield LeftOut(step.position, step, kinds, line)


def _wanted(stage: Stage, round_: int) -> tuple[str, ...]:
    if isinstance(stage, Loosen | Attested):
        return ()
    match stage:
        case Tighten(stretch=stretch):
            return ("pull",) if stretch is None else ("pull", "stretch")
        case Turn(final_torque=last, rounds=rounds):
            return ("turn", "final torque") if last is not None and round_ == rounds else ("turn",)
        case Recheck():
            return ("recheck",)
        case Align():
            return ()
        case Measure():
            return ("measurement",)
        case _ as never:
            assert_never(never)
