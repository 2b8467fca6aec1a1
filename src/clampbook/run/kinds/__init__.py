"""The kinds of work, each in a module of its own; this is the one place that knows all of them."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, assert_never, overload

from clampbook.procedure import model as m
from clampbook.run import events as e
from clampbook.run import prompts as ask
from clampbook.run.kinds import (
    align,
    apply,
    back_off,
    confirm,
    inspect,
    loosen,
    mark,
    measure,
    recheck,
    rechecked,
    tighten,
    tightened,
    turn,
    wait,
)

if TYPE_CHECKING:
    from clampbook.run.kinds import protocol as k

# mypy holds each module against its types: the stage, what is asked, and the lines that it leaves.
_ALIGN: k.Kind[m.Align, ask.Align, e.Aligned] = align
_APPLY: k.Kind[m.Apply, ask.Apply, e.Applied] = apply
_BACK_OFF: k.Question[ask.BackOff | ask.BackAtMark] = back_off
_CONFIRM: k.Question[ask.Confirm] = confirm
_CONFIRMED: k.Leaves[e.Confirmed] = confirm
_INSPECT: k.Kind[m.Inspect, ask.Inspect, e.Inspected | e.LookedBack] = inspect
_LOOSEN: k.Kind[m.Loosen, ask.Loosen, e.Loosened] = loosen
_MARK: k.Kind[m.Mark, ask.Mark, e.Marked] = mark
_MEASURE: k.Kind[m.Measure, ask.Measure, e.Measured | e.PrevailingRead] = measure
_RECHECK: k.Work[m.Recheck, ask.Recheck] = recheck
_RECHECKED: k.Leaves[e.Rechecked | e.BackedOff] = rechecked
_TIGHTEN: k.Work[m.Tighten, ask.Tighten] = tighten
_TIGHTENED: k.Leaves[e.ReadingTaken | e.Clicked] = tightened
_TURN: k.Kind[m.Turn, ask.Turn, e.Turned] = turn
_WAIT: k.Kind[m.Wait, ask.Wait, e.WaitBegun | e.Waited] = wait

Asked = ask.OfTheWork
Written = e.OfTheWork


@overload
def of(of_it: m.Stage) -> k.Staged[Any]: ...
@overload
def of(of_it: Asked) -> k.Question[Any]: ...
@overload
def of(of_it: Written) -> k.Leaves[Any]: ...
def of(of_it: m.Stage | Asked | Written) -> Any:
    """The module of a stage, of what is asked at it, or of a line that it left."""
    match of_it:
        case m.Align() | ask.Align() | e.Aligned():
            return _ALIGN
        case m.Apply() | ask.Apply() | e.Applied():
            return _APPLY
        case ask.BackOff() | ask.BackAtMark():
            return _BACK_OFF
        case ask.Confirm():
            return _CONFIRM
        case e.Confirmed():
            return _CONFIRMED
        case m.Inspect() | ask.Inspect() | e.Inspected() | e.LookedBack():
            return _INSPECT
        case m.Loosen() | ask.Loosen() | e.Loosened():
            return _LOOSEN
        case m.Mark() | ask.Mark() | e.Marked():
            return _MARK
        case m.Measure() | ask.Measure() | e.Measured() | e.PrevailingRead():
            return _MEASURE
        case m.Recheck() | ask.Recheck():
            return _RECHECK
        case e.Rechecked() | e.BackedOff():
            return _RECHECKED
        case m.Tighten() | ask.Tighten():
            return _TIGHTEN
        case e.ReadingTaken() | e.Clicked():
            return _TIGHTENED
        case m.Turn() | ask.Turn() | e.Turned():
            return _TURN
        case m.Wait() | ask.Wait() | e.WaitBegun() | e.Waited():
            return _WAIT
        case _ as never:
            assert_never(never)
