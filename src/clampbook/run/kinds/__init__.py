"""The kinds of work, each in a module of its own; this is the one place that knows all of them."""

from __future__ import annotations

from typing import assert_never

from clampbook.procedure import model as m
from clampbook.run import events as e
from clampbook.run import prompts as ask
from clampbook.run.kinds import apply, inspect, loosen, measure, wait
from clampbook.run.kinds.kind import AnyKind, Kind

# mypy holds each module against its three types: the stage, what is asked, and the lines that it leaves.
_APPLY: Kind[m.Apply, ask.Apply, e.Applied] = apply
_INSPECT: Kind[m.Inspect, ask.Inspect, e.Inspected | e.LookedBack] = inspect
_LOOSEN: Kind[m.Loosen, ask.Loosen, e.Loosened] = loosen
_MEASURE: Kind[m.Measure, ask.Measure, e.Measured | e.RanDown] = measure
_WAIT: Kind[m.Wait, ask.Wait, e.WaitBegun | e.Waited] = wait

Stage = m.Apply | m.Inspect | m.Loosen | m.Measure | m.Wait
Work = ask.Apply | ask.Inspect | ask.Loosen | ask.Measure | ask.Wait
Written = e.Applied | e.Inspected | e.LookedBack | e.Loosened | e.Measured | e.RanDown | e.WaitBegun | e.Waited


def of(of_it: Stage | Work | Written) -> AnyKind:
    """The module of a stage, of what is asked at it, or of a line that it left."""
    match of_it:
        case m.Apply() | ask.Apply() | e.Applied():
            return _APPLY
        case m.Inspect() | ask.Inspect() | e.Inspected() | e.LookedBack():
            return _INSPECT
        case m.Loosen() | ask.Loosen() | e.Loosened():
            return _LOOSEN
        case m.Measure() | ask.Measure() | e.Measured() | e.RanDown():
            return _MEASURE
        case m.Wait() | ask.Wait() | e.WaitBegun() | e.Waited():
            return _WAIT
        case _ as never:
            assert_never(never)
