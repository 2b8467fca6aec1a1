"""The acts that can be said at any prompt, each in a module of its own, and lines that nobody answers; all are
known here.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, assert_never, overload

from clampbook.run import answers as a
from clampbook.run import events as e
from clampbook.run.acts import (
    abandon,
    another_position,
    arrived,
    bad_pull,
    broken,
    change_tool,
    correct,
    corrected,
    drop,
    form_time,
    hand_over,
    hold,
    news,
    note,
    pause,
    scan,
    skip,
    suspect_tool,
    take_back,
    turn_map,
    void,
    voided,
)

if TYPE_CHECKING:
    from clampbook.run.kinds import protocol as k

_ABANDON: k.Said[a.GiveUp] = abandon
_ABANDONED: k.Leaves[e.Abandoned] = abandon
_ANOTHER: k.Said[a.PulledAnother] = another_position
_ARRIVED: k.Said[a.Arrived] = arrived
_KEPT: k.Leaves[e.ArrivedUnasked] = arrived
_BAD_PULL: k.Said[a.BadPull] = bad_pull
_BROKE: k.Said[a.Broke] = broken
_BROKEN: k.Leaves[e.Broken] = broken
_CHANGE_TOOL: k.Said[a.TakeUp] = change_tool
_CORRECT: k.Said[a.Correct] = correct
_CORRECTED: k.Leaves[e.Corrected] = corrected
_SUSPECT: k.Said[a.SuspectTool] = suspect_tool
_SUSPECTED: k.Leaves[e.ToolSuspected] = suspect_tool
_DROP: k.Said[a.Drop] = drop
_DROPPED: k.Leaves[e.ToolDropped] = drop
_FORM_TIME: k.Said[a.PaperTime] = form_time
_HAND_OVER: k.Said[a.HandTo] = hand_over
_HANDED_OVER: k.Leaves[e.HandedOver] = hand_over
_HOLD: k.Said[a.Hold] = hold
_HELD: k.Leaves[e.Held] = hold
_NEWS: k.Leaves[e.Opened | e.Resumed | e.ToolPassed | e.ProcedureWithdrawn] = news
_NOTE: k.Said[a.Note] = note
_NOTED: k.Leaves[e.Noted] = note
_PAUSE: k.Said[a.Pause] = pause
_PAUSED: k.Leaves[e.Paused] = pause
_SCANNED: k.Leaves[e.ScanAdded] = scan
_SKIP: k.Said[a.Skip] = skip
_SKIPPED: k.Leaves[e.Skipped] = skip
_TAKE_BACK: k.Said[a.TakeBack] = take_back
_TAKEN_BACK: k.Leaves[e.TakenBack] = take_back
_TURN_MAP: k.Said[a.TurnMap] = turn_map
_TURNED: k.Leaves[e.MapTurned] = turn_map
_VOID: k.Said[a.VoidStored] = void
_VOIDED: k.Leaves[e.Voided] = voided

Written = (
    e.Abandoned
    | e.ArrivedUnasked
    | e.Broken
    | e.Corrected
    | e.HandedOver
    | e.Held
    | e.MapTurned
    | e.Noted
    | e.Opened
    | e.Paused
    | e.ProcedureWithdrawn
    | e.Resumed
    | e.ScanAdded
    | e.Skipped
    | e.TakenBack
    | e.ToolSuspected
    | e.ToolDropped
    | e.ToolPassed
    | e.Voided
)


@overload
def of(of_it: a.Anywhere) -> k.Said[Any]: ...
@overload
def of(of_it: Written) -> k.Leaves[Any]: ...
def of(of_it: a.Anywhere | Written) -> Any:
    """The module of what is said, or of a line."""
    if isinstance(of_it, a.Anywhere):
        return _said(of_it)
    match of_it:
        case e.Abandoned():
            return _ABANDONED
        case e.ArrivedUnasked():
            return _KEPT
        case e.Broken():
            return _BROKEN
        case e.Corrected():
            return _CORRECTED
        case e.HandedOver():
            return _HANDED_OVER
        case e.Held():
            return _HELD
        case e.MapTurned():
            return _TURNED
        case e.Noted():
            return _NOTED
        case e.Opened() | e.Resumed() | e.ToolPassed() | e.ProcedureWithdrawn():
            return _NEWS
        case e.Paused():
            return _PAUSED
        case e.ScanAdded():
            return _SCANNED
        case e.Skipped():
            return _SKIPPED
        case e.TakenBack():
            return _TAKEN_BACK
        case e.ToolSuspected():
            return _SUSPECTED
        case e.ToolDropped():
            return _DROPPED
        case e.Voided():
            return _VOIDED
        case _ as never:
            assert_never(never)


def _said(answer: a.Anywhere) -> k.Said[Any]:
    match answer:
        case a.Arrived():
            return _ARRIVED
        case a.BadPull():
            return _BAD_PULL
        case a.Broke():
            return _BROKE
        case a.Correct():
            return _CORRECT
        case a.SuspectTool():
            return _SUSPECT
        case a.Drop():
            return _DROP
        case a.GiveUp():
            return _ABANDON
        case a.PaperTime():
            return _FORM_TIME
        case a.HandTo():
            return _HAND_OVER
        case a.Hold():
            return _HOLD
        case a.Skip():
            return _SKIP
        case a.Note():
            return _NOTE
        case a.Pause():
            return _PAUSE
        case a.PulledAnother():
            return _ANOTHER
        case a.TakeBack():
            return _TAKE_BACK
        case a.TakeUp():
            return _CHANGE_TOOL
        case a.TurnMap():
            return _TURN_MAP
        case a.VoidStored():
            return _VOID
        case _ as never:
            assert_never(never)
