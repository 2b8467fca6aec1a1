"""Which tools could be taken instead of the one that a prompt is about, with what speaks against each."""

from __future__ import annotations

from typing import assert_never

from clampbook.procedure.model import Tighten as Stage
from clampbook.run.progress import Need
from clampbook.run.prompts import (
    Apply,
    Confirm,
    Decide,
    Ended,
    Finished,
    Inspect,
    Loosen,
    Measure,
    Prompt,
    Recheck,
    ReturnTool,
    SetTool,
    SignOff,
    StartSheet,
    StepState,
    TakeTool,
    Tighten,
    ToolOffer,
    Turn,
    Wait,
    ZeroTool,
)
from clampbook.run.session import Session
from clampbook.run.taking import offers

_OPEN = (None, None)


def other_tools(prompt: Prompt, session: Session) -> tuple[ToolOffer, ...]:
    """The tools offered for the same pull, those that fit first; none where no tool is needed.

    The tool in use is among them where it can be taken with another adapter.
    """
    need: Need
    match prompt:
        case TakeTool():
            return prompt.offers
        case Confirm(pull=pull) if pull is not None:
            return other_tools(pull, session)
        case Tighten():
            need = "reading" if _to_a_stretch(prompt, session) else "torque"
            found = offers(session, need, prompt.target, prompt.window, prompt.where)
        case SetTool():
            found = offers(session, "torque", prompt.target, prompt.window, prompt.where)
        case Recheck():
            need = "reading" if prompt.method == "first movement" else "torque"
            found = offers(session, need, prompt.target, prompt.window or _OPEN, prompt.where)
        case Turn():
            found = offers(session, "angle", None, _OPEN, prompt.where)
        case Measure() if prompt.tool is not None:
            found = offers(session, "reading", None, _OPEN, prompt.where)
        case StartSheet() | ZeroTool() | ReturnTool() | Loosen() | Measure() | Inspect() | Apply() | Wait() | Confirm():
            return ()
        case StepState() | Decide() | SignOff() | Finished() | Ended():
            return ()
        case _ as never:
            assert_never(never)
    in_use = None if prompt.tool is None else prompt.tool.id
    return tuple(offer for offer in found if offer.tool.id != in_use or offer.ways)


def _to_a_stretch(prompt: Tighten, session: Session) -> bool:
    """Whether its stage pulls to a stretch; a pull without a mark to stop at need not be one."""
    stage = session.plan.stages[prompt.where.stage - 1]
    return isinstance(stage, Stage) and stage.stretch is not None
