"""What is found at the step at hand after a break: not begun, begun, or finished and not typed."""

from __future__ import annotations

from decimal import Decimal

from clampbook import units
from clampbook.ledger.stamp import Stamp
from clampbook.run import answers as a
from clampbook.run import events as e
from clampbook.run import prompts as ask
from clampbook.run.answers import Accepted, Refused
from clampbook.run.fastener import turned_so_far
from clampbook.run.kinds.stamping import common
from clampbook.run.kinds.values import Wrong, ends, typed_value
from clampbook.run.plan import Step
from clampbook.run.progress import standing
from clampbook.run.session import Session
from clampbook.run.taking import MARKS
from clampbook.run.verdict import judge
from clampbook.units import Kind

Outcome = Accepted | Refused
FROM_ITS_MARK = "read from its mark after a break"


def found(session: Session, prompt: ask.StepState, answer: a.Answer, stamp: Stamp) -> Outcome:
    """What is found; a turn has its own answers: its mark may be lost, and how far it is from it is asked."""
    step = session.plan.steps[session.plan.index_of[prompt.where.id]]
    begun = ("begun, mark kept", "mark lost") if step.kind == "turn" else ("begun, not finished",)
    allowed = ("not begun", *begun, "finished, not typed")
    if not isinstance(answer, a.Found) or answer.state not in allowed:
        return Refused(f"Say how you find it: {'; '.join(each.text for each in prompt.choices)}.")
    if answer.state == "begun, mark kept" and answer.degrees is not None:
        return _from_its_mark(session, prompt, step, answer.degrees, stamp)
    return Accepted(e.StepState(**common(session, stamp, prompt), step=step.id, state=answer.state))


def _from_its_mark(session: Session, prompt: ask.StepState, step: Step, text: str, stamp: Stamp) -> Outcome:
    """How far it stands from its mark in all: what was typed of it before is part of that, the rest is a stroke."""
    read = typed_value(text, Kind.ANGLE, "°", "°", (None, None), with_unit=False)
    if isinstance(read, Wrong):
        return Refused(read.sentence)
    index = session.plan.index_of[step.id]
    before = turned_so_far(standing(session.progress, step.position or "").fastener, index) or Decimal(0)
    if read.exact < before:
        so_far = units.show(before, "°")
        return Refused(f"It was turned {so_far} before the break. Type how far it is from its mark in all.")
    fields = common(session, stamp, prompt, FROM_ITS_MARK)
    if read.exact == before:
        if not before:
            return Accepted(e.StepState(**fields, step=step.id, state="not begun"))
        degrees = units.plain(before)
        return Accepted(e.StepState(**fields, step=step.id, state="begun, mark kept", degrees=degrees))
    window = step.window or (None, None)
    return Accepted(
        e.Turned(
            **fields,
            step=step.id,
            attempt=prompt.where.attempt,
            tool=session.progress.using.get("angle", MARKS.id),
            typed=read.text,
            value=units.plain(read.exact - before),
            sum=units.plain(read.exact),
            window=ends(window),
            verdict=judge(read.exact, window),
        )
    )
