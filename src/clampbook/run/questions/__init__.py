"""The questions that no stage asks, each in a module of its own; this is the one place that knows all of them."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, assert_never, overload

from clampbook.run import events as e
from clampbook.run import prompts as ask
from clampbook.run.questions import (
    closing,
    decided,
    decision,
    left_blank,
    paper_time,
    put_back,
    sample,
    set_tool,
    sheet_item,
    sign_off,
    state_after_break,
    take_tool,
    zero,
)

if TYPE_CHECKING:
    from clampbook.run.kinds import protocol as k

_CLOSING: k.Question[ask.Finished | ask.Ended] = closing
_CLOSED: k.Leaves[e.Closed] = closing
_DECISION: k.Question[ask.Decide] = decision
_DECIDED: k.Leaves[e.Decided] = decided
_LEFT_BLANK: k.Leaves[e.LeftBlank] = left_blank
_PAPER_TIME: k.Question[ask.PaperTime] = paper_time
_TIMED: k.Leaves[e.PaperTime] = paper_time
_PUT_BACK: k.Question[ask.ReturnTool] = put_back
_RETURNED: k.Leaves[e.ToolReturned] = put_back
_SAMPLE: k.Question[ask.DrawSample] = sample
_DRAWN: k.Leaves[e.SampleDrawn] = sample
_SET_TOOL: k.Question[ask.SetTool] = set_tool
_SET: k.Leaves[e.ToolSet] = set_tool
_SHEET_ITEM: k.Question[ask.StartSheet] = sheet_item
_ANSWERED: k.Leaves[e.Asked | e.CautionsRead | e.Prepared | e.PartRecorded] = sheet_item
_SIGN_OFF: k.Question[ask.SignOff] = sign_off
_SIGNED: k.Leaves[e.SignedOff] = sign_off
_STATE: k.Question[ask.StepState] = state_after_break
_FOUND: k.Leaves[e.StepState] = state_after_break
_TAKE_TOOL: k.Question[ask.TakeTool] = take_tool
_TAKEN: k.Leaves[e.ToolTaken] = take_tool
_ZERO: k.Question[ask.ZeroTool] = zero
_ZEROED: k.Leaves[e.ToolZeroed] = zero

Asked = ask.OfNoStage
Written = (
    e.Asked
    | e.CautionsRead
    | e.Closed
    | e.Decided
    | e.LeftBlank
    | e.PaperTime
    | e.PartRecorded
    | e.Prepared
    | e.SampleDrawn
    | e.SignedOff
    | e.StepState
    | e.ToolReturned
    | e.ToolSet
    | e.ToolTaken
    | e.ToolZeroed
)


@overload
def of(of_it: Asked) -> k.Question[Any]: ...
@overload
def of(of_it: Written) -> k.Leaves[Any]: ...
def of(of_it: Asked | Written) -> Any:
    """The module of what is asked, or of a line that it left."""
    match of_it:
        case ask.Finished() | ask.Ended():
            return _CLOSING
        case e.Closed():
            return _CLOSED
        case ask.Decide():
            return _DECISION
        case e.Decided():
            return _DECIDED
        case e.LeftBlank():
            return _LEFT_BLANK
        case ask.PaperTime():
            return _PAPER_TIME
        case e.PaperTime():
            return _TIMED
        case ask.ReturnTool():
            return _PUT_BACK
        case e.ToolReturned():
            return _RETURNED
        case ask.DrawSample():
            return _SAMPLE
        case e.SampleDrawn():
            return _DRAWN
        case ask.SetTool():
            return _SET_TOOL
        case e.ToolSet():
            return _SET
        case ask.StartSheet():
            return _SHEET_ITEM
        case e.Asked() | e.CautionsRead() | e.Prepared() | e.PartRecorded():
            return _ANSWERED
        case ask.SignOff():
            return _SIGN_OFF
        case e.SignedOff():
            return _SIGNED
        case ask.StepState():
            return _STATE
        case e.StepState():
            return _FOUND
        case ask.TakeTool():
            return _TAKE_TOOL
        case e.ToolTaken():
            return _TAKEN
        case ask.ZeroTool():
            return _ZERO
        case e.ToolZeroed():
            return _ZEROED
        case _ as never:
            assert_never(never)
