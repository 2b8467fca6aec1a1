"""Measuring: a value at a gate or at a position, judged where it has a window; also what is read beside a pull."""

from __future__ import annotations

from decimal import Decimal
from typing import Literal

from msgspec.structs import replace

from clampbook import units
from clampbook.figures import judge, show_exactly
from clampbook.ledger.stamp import Stamp
from clampbook.procedure.both_units import window as in_both_units
from clampbook.procedure.model import Align, Tighten
from clampbook.procedure.model import Measure as Stage
from clampbook.run import events as e
from clampbook.run.answers import Accepted, Answer, Refused, Unsure, Value
from clampbook.run.fold.acts import TOO_FAR_APART, Act
from clampbook.run.fold.fastener import holds
from clampbook.run.fold.frames import ask as ask_about
from clampbook.run.fold.frames import pass_gate
from clampbook.run.fold.line import Line, judged
from clampbook.run.fold.measured import (
    as_shown,
    beside_others,
    excused,
    has_window,
    judged_together,
    keep_measured,
    measured_name,
    on_its_scale,
    only_apart,
    outside_of,
    pair,
    points_so_far,
    taken_off,
    told_outside,
)
from clampbook.run.fold.pulls import settle
from clampbook.run.fold.tools import instrument
from clampbook.run.gather.draft import Draft, Part
from clampbook.run.gather.keys import Keys
from clampbook.run.in_hand.ask_for import ready_instrument
from clampbook.run.kinds import beside
from clampbook.run.kinds.kind import Column, Outcome, Paper, Planned, Tools
from clampbook.run.kinds.measure_words import words as words
from clampbook.run.kinds.stamping import common
from clampbook.run.kinds.values import (
    Typed,
    Wrong,
    asked_again,
    ends,
    kept,
    less_than_tightened,
    taken_with_unit,
    typed_value,
    unusual_in,
    with_its_scale,
)
from clampbook.run.plan import Plan, Step
from clampbook.run.progress import SPREAD, TOO_MANY, Gate, Progress, Question, standing
from clampbook.run.prompts import Measure, Prompt, TakeTool
from clampbook.run.session import BETWEEN_LINES, Session
from clampbook.run.told.clamp_loads import stretched
from clampbook.run.told.marks import marked
from clampbook.run.told.places import position_of, where
from clampbook.run.told.samples import limits
from clampbook.text import started
from clampbook.tools.lever import STRAIGHT
from clampbook.units import COUNT

Written = e.Measured | e.PrevailingRead


def plan(stage: Stage, _: str) -> Planned:
    """At each position, or once for all of them."""
    at: Literal["each", "once"] = "each" if stage.asked == "each" and stage.positions else "once"
    return Planned(at, window=stage.window, unit=stage.unit)


def ask(session: Session, index: int, stage: Stage) -> Prompt:
    """Ask for a value, or for what measures it first; what `minus` names is taken off before judging, and the points
    that are measured already stand beside it.
    """
    plan, progress = session.plan, session.progress
    step = plan.steps[index]
    spread, place = stage.spread, where(plan, progress, index)
    ready = ready_instrument(session, index, place, stage.what)
    if isinstance(ready, TakeTool):
        return ready
    return Measure(
        place,
        stage.what,
        stage.unit,
        step.window,
        minus=taken_off(plan, progress, step),
        so_far=points_so_far(plan, progress, step),
        may_be_outside=None if stage.all_but is None else (stage.all_but, len(stage.points)),
        apart=None if spread is None else units.convert(spread.value, spread.unit, stage.unit),
        instrument=ready,
    )


def keys(prompt: Measure) -> Keys:
    """A number, in the unit of what shows it."""
    if prompt.unit == COUNT:
        return Keys(types="number", wanted="the number")
    shown = "the value" if prompt.tool is None else f"what {prompt.tool.name} shows,"
    return Keys(types="number", wanted=f"{shown} in {units.spelled(beside.typed_in(prompt))}")


def complete(prompt: Measure, session: Session, begun: Answer, draft: Draft) -> Part | Refused | Answer:
    """After an unusual value that it does not settle by itself, its unit is asked for."""
    return taken_with_unit(prompt, session, begun, draft, units.kind_of(prompt.unit), decide)


def decide(session: Session, prompt: Measure, answer: Answer, stamp: Stamp) -> Outcome:
    """A measured value; a torque beside a pull is read on the tool that is named."""
    if not isinstance(answer, Value):
        own = prompt.tool.unit if prompt.tool else prompt.unit
        return Refused(
            "Count, then type the number." if own == COUNT else f"Type the measured value in {units.spelled(own)}."
        )
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
    read = Typed(raw.text, raw.value, raw.unit, result, judge(result, window))
    unusual = unusual_in(read, None, window, kind) if prompt.window is not None and off == 0 else None
    unsure = asked_again(session, prompt.where.id, raw, unusual, prompt.aim or prompt.instrument)
    if unsure is None or unsure.code == BETWEEN_LINES:
        unsure = _turned_back(session, prompt, raw) or unsure
    if unsure is not None:
        return unsure
    if prompt.part == "prevailing torque":
        return Accepted(beside.prevailing(session, prompt, read, stamp))
    return Accepted(_measured(session, prompt, read, stamp))


def _turned_back(session: Session, prompt: Measure, read: Typed) -> Unsure | None:
    """A nut is only turned on to its slot, and so has no less there than it was tightened to. One that has more than
    its limit already is not asked about: whatever is within would be less."""
    plan, here = session.plan, prompt.where
    if prompt.part != "final torque" or not isinstance(plan.stage_of(plan.steps[plan.index_of[here.id]]), Align):
        return None
    held, most = holds(standing(session.progress, here.position or "").fastener), (prompt.window or (None, None))[1]
    if held is not None and most is not None and held > most:
        return None
    return less_than_tightened(session, here.id, read, held, plan.unit)


def _measured(session: Session, prompt: Measure, read: Typed, stamp: Stamp) -> e.Measured:
    value = read.exact + (prompt.minus or Decimal(0))
    plan, progress = session.plan, session.progress
    step = plan.steps[plan.index_of[prompt.where.id]]
    spread, verdict = (None, read.verdict) if prompt.part else beside_others(plan, progress, step, value, read.verdict)
    return e.Measured(
        **common(session, stamp, prompt),
        step=prompt.where.id,
        attempt=prompt.where.attempt,
        typed=with_its_scale(read.text, prompt),
        value=kept(value) if prompt.part is None else units.plain(read.value),
        unit=prompt.unit if prompt.part is None else read.unit,
        result=kept(read.exact, prompt.window or (None, None)),
        window=None if prompt.window is None else ends(prompt.window),
        verdict=verdict,
        part=None if prompt.part == "prevailing torque" else prompt.part,
        tool=prompt.tool.id if prompt.tool is not None else None,
        adapter=None if prompt.aim is None else prompt.aim.adapter_id,
        spread=None if spread is None else units.plain(spread),
        unusual=session.unusual_at(prompt.where.id),
        outside=None if prompt.part is not None else outside_of(plan, progress, step, value),
    )


def fold(plan: Plan, progress: Progress, event: Written) -> Progress:
    """A measured value is kept; outside its window it is asked about."""
    if isinstance(event, e.PrevailingRead):
        return beside.fold_prevailing(plan, progress, event)
    index = plan.index_of[event.step]
    step = plan.steps[index]
    progress = replace(progress, last_answer=event.seq, last_answer_step=event.step, last_answer_item=None, found=None)
    if event.part is not None:
        return beside.fold(plan, progress, event, index)
    if step.position is None:
        gate = Gate(latest=event.seq, value=Decimal(event.value), instrument=instrument(progress, event.tool))
        passed = replace(progress, gates=progress.gates.insert(step.id, gate))
        if _passes(plan, event, step):
            return pass_gate(plan, passed)
        return ask_about(passed, _outside(plan, progress, event, index, ()))
    before = replace(standing(progress, step.position), instrument=instrument(progress, event.tool))
    stage = plan.stage_of(step)
    if isinstance(stage, Stage) and stage.tensions:
        before = replace(before, fastener=replace(before.fastener, tensioned=True))
    state = keep_measured(before, measured_name(plan, step), Decimal(event.value), before.instrument, event.seq)
    shown = {"last_value": event.value, "shown_in": event.unit}
    state = replace(state, latest=event.seq, latest_step=index, latest_what="measure", **shown)
    if _passes(plan, event, step):
        return settle(plan, progress, index, state, "within")
    told = replace(progress, positions=progress.positions.insert(step.position, state))
    return ask_about(told, _outside(plan, progress, event, index, (step.position,)))


def _passes(plan: Plan, event: e.Measured, step: Step) -> bool:
    """True where nothing is to be decided: it is within, or so many points may be outside."""
    if event.outside is not None:
        return excused(plan, step, event.outside)
    return event.verdict == "within" or excused(plan, step, None)


def _outside(plan: Plan, progress: Progress, event: e.Measured, index: int, positions: tuple[str, ...]) -> Question:
    """A value outside its window; one that is inside, but too far from those at the other points; or more points
    outside than are allowed."""
    if event.outside is not None:
        found = told_outside(plan, plan.steps[index], event.outside)
        return Question(cause=TOO_MANY, about=event.seq, step=index, positions=positions, found=found)
    apart = only_apart(event)
    alone = as_shown(event) if event.result == event.value else f"{event.result}{units.behind(event.unit)}"
    found = pair(plan, progress, event, index) if apart else alone
    cause = SPREAD if apart else "outside"
    return Question(cause=cause, about=event.seq, step=index, positions=positions, found=found)


def acts(line: Line, event: Written) -> tuple[Act, ...]:
    """A value with what judged it; with the last point the spread of all of them is judged, window or not."""
    if isinstance(event, e.PrevailingRead):
        return beside.acts_of_prevailing(line, event)
    if event.part is not None:
        return beside.acts(line, event, event.part)
    stage = line.plan.stage_of(line.step(event.step))
    told = judged(event.verdict, event.window, event.result, stage.unit if isinstance(stage, Stage) else event.unit)
    if event.spread is not None:
        told |= judged_together(event)
    return (line.act("measurement", event.step, tool=event.tool, value=event.value, unit=event.unit, **told),)


def tell(event: Written, plan: Plan, _: Tools) -> str:
    """A measured value; what is judged is another number where an earlier one is taken off."""
    if isinstance(event, e.PrevailingRead):
        return beside.tell_prevailing(event, plan)
    if event.part == "final torque":
        return beside.tell_final_torque(event, plan)
    word = marked(event.verdict) if event.window is not None else "saved"
    here = f"{started(word)}: {position_of(event.step, plan)}"
    told, shown = _clamped(event, plan), as_shown(event)
    if event.spread is not None and only_apart(event):
        here = f"{started(marked(TOO_FAR_APART))}: {position_of(event.step, plan)}"
        within = ", is within" if has_window(event) else ""
        return f"{here}, {shown}{within}. The points are {show_exactly(Decimal(event.spread), event.unit)} apart."
    if event.outside is not None:
        return f"{here}, {shown}. {told_outside(plan, plan.steps[plan.index_of[event.step]], event.outside)}."
    return f"{here}, {_judged(event, plan)}{told}."


def _judged(event: e.Measured, plan: Plan) -> str:
    """Tell what is judged, and what it comes from where something was taken off: "stretch 0.16 mm (95.36 mm less 95.20
    mm)", "stretch 0.16 mm (3.7543 in, 95.35922 mm, less 95.20 mm)"."""
    unit = _unit_judged(event, plan)
    value, result = units.convert(Decimal(event.value), event.unit, unit), Decimal(event.result)
    typed = on_its_scale(event, unit)
    if kept(value, _window(event)) == event.result or value == result:
        return as_shown(event) if unit == event.unit else f"{typed} ({show_exactly(result, unit)})"
    stretch = "stretch " if event.part == "stretch" else ""
    whole = show_exactly(value, unit) if typed is None else f"{typed}, {show_exactly(value, unit)},"
    return f"{stretch}{show_exactly(result, unit)} ({whole} less {show_exactly(value - result, unit)})"


def _window(event: e.Measured) -> tuple[Decimal | None, Decimal | None]:
    low, high = event.window or (None, None)
    return None if low is None else Decimal(low), None if high is None else Decimal(high)


def _unit_judged(event: e.Measured, plan: Plan) -> str:
    """The unit of what is judged: of a stretch that of its window, which its micrometer may not have."""
    stage = plan.stage_of(plan.steps[plan.index_of[event.step]]) if event.step in plan.index_of else None
    if event.part == "stretch" and isinstance(stage, Tighten) and stage.stretch is not None:
        return stage.stretch.window.unit
    return event.unit


def _clamped(event: e.Measured, plan: Plan) -> str:
    """Tell what a stretch says of the clamp load, where the plan froze what a millimetre is worth."""
    step = plan.steps[plan.index_of[event.step]] if event.step in plan.index_of else None
    clamping = None if step is None or step.position is None else plan.clamping_at.get(step.position)
    if step is None or clamping is None or clamping.each_millimetre is None:
        return ""
    if event.part != "stretch" and all(each.stage != step.stage for each in clamping.stages):
        return ""
    length = units.si(Decimal(event.result), _unit_judged(event, plan))
    return f", {stretched(length, clamping.each_millimetre, clamping.proof_load)}"


def paper(stage: Stage, _: str) -> Paper:
    """Write on the form what is measured, its window, and how far its points may lie apart."""
    found = [f"window {in_both_units(stage.window)}"] if stage.window is not None else ["no window"]
    if stage.all_but is not None:
        found.append(f"at most {stage.all_but} of {len(stage.points)} outside")
    if stage.spread is not None:
        found.append(f"spread at most {units.show(stage.spread.value, stage.spread.unit)}")
    if stage.adjust:
        found.append(f"outside: back to stage {stage.adjust.back_to}, {stage.adjust.at_most} × at most")
    do, fields = ("Count", ()) if stage.unit == COUNT else ("Measure", ("Instrument",))
    return Paper(f"{do}: {stage.what}", (*found, *limits(stage.sample)), fields=fields, columns=_columns(stage))


def _columns(stage: Stage) -> tuple[Column, ...]:
    """Room for each time that it may be measured, where adjusting and looking again are foreseen; for both values and
    their difference, where one is taken off."""
    unit = "Number" if stage.unit == COUNT else f"In {stage.unit}"
    if stage.minus is not None:
        return Column(unit), Column(f"Less {stage.minus}"), Column("Difference")
    if not stage.adjust:
        return (Column(unit, wide=20),)
    return tuple(
        Column(f"{unit}, {time}" if time > 1 else unit, wide=18) for time in range(1, stage.adjust.at_most + 2)
    )
