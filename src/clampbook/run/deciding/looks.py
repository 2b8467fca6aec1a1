"""Answers to what is measured."""

from __future__ import annotations

from decimal import Decimal

from clampbook import units
from clampbook.ledger.stamp import Stamp
from clampbook.procedure.model import Measure as MeasureStage
from clampbook.run import answers as a
from clampbook.run import events as e
from clampbook.run import prompts as ask
from clampbook.run.answers import Accepted, Refused, Unsure
from clampbook.run.deciding.stamping import common
from clampbook.run.deciding.values import (
    Typed,
    Wrong,
    asked_again,
    doubt_about,
    ends,
    kept,
    rounded,
    typed_value,
)
from clampbook.run.fold.looks import spread_of
from clampbook.run.session import Session
from clampbook.run.verdict import Verdict, judge
from clampbook.tools.lever import STRAIGHT

Outcome = Accepted | Unsure | Refused


def measure(session: Session, prompt: ask.Measure, answer: a.Answer, stamp: Stamp) -> Outcome:
    """A measured value; a torque beside a pull is read on the tool that is named."""
    if not isinstance(answer, a.Value):
        return Refused(f"Type the measured value, in {prompt.tool.unit if prompt.tool else prompt.unit}.")
    kind = units.kind_of(prompt.unit)
    shown_in = prompt.tool.unit if prompt.tool is not None else prompt.unit
    window = prompt.window or (None, None)
    off = prompt.minus or Decimal(0)
    reach = prompt.aim.through if prompt.aim is not None else STRAIGHT
    openly = session.unit_wanted(prompt.where.id)
    raw = typed_value(answer.text, kind, shown_in, prompt.unit, (None, None), with_unit=openly, through=reach)
    if isinstance(raw, Wrong):
        return Refused(raw.sentence)
    result = raw.exact - off
    judged = Typed(raw.text, raw.value, raw.unit, result, judge(result, window))
    doubt = doubt_about(judged, None, window, kind) if prompt.window is not None and off == 0 else None
    unsure = asked_again(session, prompt.where.id, raw, doubt, prompt.aim)
    if unsure is not None:
        return unsure
    if prompt.part == "run-down":
        return _ran_down(session, prompt, judged, stamp)
    return _measured(session, prompt, judged, stamp)


def _ran_down(session: Session, prompt: ask.Measure, read: Typed, stamp: Stamp) -> Outcome:
    assert prompt.tool is not None
    return Accepted(
        e.RanDown(
            **common(session, stamp, prompt),
            step=prompt.where.id,
            attempt=prompt.where.attempt,
            tool=prompt.tool.id,
            adapter=None if prompt.aim is None else prompt.aim.adapter_id,
            typed=read.text,
            value=units.plain(read.value),
            unit=read.unit,
            at_fastener=rounded(read.exact, prompt.window or (None, None)),
            window=ends(prompt.window or (None, None)),
            verdict=read.verdict,
            doubt=session.doubted(prompt.where.id),
        )
    )


def _measured(session: Session, prompt: ask.Measure, read: Typed, stamp: Stamp) -> Outcome:
    plan, progress = session.plan, session.progress
    step = plan.steps[plan.index_of[prompt.where.id]]
    verdict: Verdict = read.verdict
    spread = None
    if prompt.part is None:
        exact = read.exact + (prompt.minus or Decimal(0))
        spread = spread_of(plan, progress, step, exact)
        stage = plan.stage_of(step)
        if spread is not None and isinstance(stage, MeasureStage) and stage.spread is not None:
            allowed = units.convert(stage.spread.value, stage.spread.unit, stage.unit)
            verdict = "over" if verdict == "within" and spread > allowed else verdict
    value = read.exact + (prompt.minus or Decimal(0))
    return Accepted(
        e.Measured(
            **common(session, stamp, prompt),
            step=prompt.where.id,
            attempt=prompt.where.attempt,
            typed=read.text,
            value=kept(value) if prompt.part is None else units.plain(read.value),
            unit=prompt.unit if prompt.part is None else read.unit,
            result=kept(read.exact, prompt.window or (None, None)),
            window=None if prompt.window is None else ends(prompt.window),
            verdict=verdict,
            part=None if prompt.part == "run-down" else prompt.part,
            tool=prompt.tool.id if prompt.tool is not None else None,
            adapter=None if prompt.aim is None else prompt.aim.adapter_id,
            spread=None if spread is None else units.plain(spread),
            doubt=session.doubted(prompt.where.id),
        )
    )
