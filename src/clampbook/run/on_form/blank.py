"""The answer that nothing stands on the paper form, or a tick and no number: one line says so, and the work goes on."""

from __future__ import annotations

from clampbook.ledger.stamp import Stamp
from clampbook.procedure.model import Wait
from clampbook.run import answers as a
from clampbook.run import events as e
from clampbook.run import prompts as ask
from clampbook.run.answers import Accepted, Refused
from clampbook.run.kinds.kind import Outcome
from clampbook.run.kinds.stamping import common
from clampbook.run.prompts import Prompt
from clampbook.run.questions.signing import SIGNED
from clampbook.run.questions.typed_in import WHO_TYPED
from clampbook.run.session import Session

_NEVER = ask.Ended | ask.Finished | ask.ReturnTool | ask.Decide | ask.PaperTime | ask.TakeTool | ask.ZeroTool


def left_blank(session: Session, prompt: Prompt, answer: a.Blank, stamp: Stamp) -> Outcome:
    """The line for what a form leaves blank."""
    fields = common(session, stamp, prompt)
    if isinstance(prompt, ask.StartSheet):
        return Accepted(e.LeftBlank(**fields, item=prompt.item, what="item"))
    if isinstance(prompt, ask.SignOff) and prompt.role != WHO_TYPED:
        return Accepted(e.LeftBlank(**fields, item=SIGNED + prompt.role, what="item"))
    if isinstance(prompt, ask.Confirm) and prompt.item is not None:
        return Accepted(e.LeftBlank(**fields, item=prompt.item, step=prompt.where.id, what="item"))
    if isinstance(prompt, _NEVER | ask.SignOff):
        return Refused("This one needs an answer.")
    if isinstance(prompt, ask.Wait) and prompt.since is None and _counts_from_before(session, prompt):
        return Accepted(e.WaitBegun(**fields, step=prompt.where.id, blank=True))
    where, tool = prompt.where, getattr(prompt, "tool", None)
    return Accepted(
        e.LeftBlank(
            **fields,
            step=where.id,
            position=getattr(prompt, "position", None) or where.position,
            attempt=where.attempt,
            what=_what(prompt),
            tool=None if tool is None else tool.id,
            ticked=answer.ticked,
        )
    )


def _counts_from_before(session: Session, prompt: ask.Wait) -> bool:
    """True of a wait that counts from what was done before: it has a beginning though none stands there."""
    stage = session.plan.stage_of(session.plan.steps[session.plan.index_of[prompt.where.id]])
    return isinstance(stage, Wait) and stage.since is not None


def _what(prompt: Prompt) -> e.Blank:
    """Name what of a step it is: mostly the step itself."""
    if isinstance(prompt, ask.SetTool):
        return "setting"
    if isinstance(prompt, ask.Measure) and prompt.part is not None:
        return prompt.part
    if isinstance(prompt, ask.BackAtMark):
        return "mark"
    if isinstance(prompt, ask.Inspect | ask.Loosen) and prompt.work:
        return "work"
    if isinstance(prompt, ask.Tighten | ask.Recheck) and prompt.last_value is not None:
        return "further reading"
    return "step"
