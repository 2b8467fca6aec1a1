"""The measurements beside a pull, under its step: the torque that runs a nut down, the one at the end of a turn,
the stretch between two pulls.
"""

from __future__ import annotations

from decimal import Decimal
from typing import Any, Literal, assert_never

from msgspec.structs import replace

from clampbook import units
from clampbook.figures import show_exactly
from clampbook.ledger.stamp import Stamp
from clampbook.procedure.model import Stretch, Tighten
from clampbook.run import events as e
from clampbook.run.fold.acts import Act
from clampbook.run.fold.fastener import pulled, told_over
from clampbook.run.fold.frames import ask as ask_about
from clampbook.run.fold.line import Line, judged
from clampbook.run.fold.measured import taken_off, told_beside
from clampbook.run.fold.pulls import (
    PREVAILING_CAUSES,
    answered,
    handled,
    outside_at_the_end,
    question,
    read_at_the_end,
    settle,
)
from clampbook.run.fold.tools import showing, through
from clampbook.run.in_hand.aim import Beside
from clampbook.run.in_hand.ask_for import ready_instrument, ready_tool
from clampbook.run.kinds.stamping import common
from clampbook.run.kinds.values import Typed, ends, rounded
from clampbook.run.plan import Plan
from clampbook.run.progress import Progress, Question, Why, standing
from clampbook.run.prompts import Measure, Prompt, TakeTool
from clampbook.run.session import Session
from clampbook.run.told.marks import marked
from clampbook.run.told.places import place, position_of, tightened, where
from clampbook.run.told.torques import with_bolt
from clampbook.text import started
from clampbook.tools.aim import Aim


def torque(session: Session, index: int, what: str, part: Beside) -> Prompt:
    """A torque that an indicating tool must show, or the tool that is asked for first."""
    here = where(session.plan, session.progress, index)
    if part == "prevailing torque":  # nothing is clamped before the nut seats
        here = replace(here, estimate=None)
    aim = ready_tool(session, index, here, part)
    return Measure(here, what, aim.unit, aim.window, part, aim=aim) if isinstance(aim, Aim) else aim


def stretch(session: Session, index: int, wanted: Stretch) -> Prompt:
    """Ask how far a fastener was stretched by the pull before, or for what measures it."""
    plan, progress = session.plan, session.progress
    minus = taken_off(plan, progress, plan.steps[index])
    window = wanted.window
    here = where(plan, progress, index)
    ready = ready_instrument(session, index, here, "Stretch" if minus is None else "Length")
    if isinstance(ready, TakeTool):
        return ready
    limits = (window.low, window.high)
    return Measure(here, "Stretch", window.unit, limits, "stretch", minus, instrument=ready)


def sentence(prompt: Measure, part: Literal["final torque", "stretch", "prevailing torque"]) -> str:
    """Say what is read, and when."""
    here, tool = place(prompt.where), prompt.aim.hand if prompt.aim else "the tool"
    match part:
        case "prevailing torque":
            return f"{here}: run down{tightened(prompt.where)} with {tool} before seating. Type the torque."
        case "final torque":
            return f"{here}: type {tool}'s torque at the end of the turn."
        case "stretch":
            what = "its length" if prompt.minus is not None else "its stretch"
            return f"{here}: measure {what}{_with(prompt)}. Type it in {units.spelled(typed_in(prompt))}."
        case _ as never:
            assert_never(never)


def _with(prompt: Measure) -> str:
    return "" if prompt.instrument is None else f" with {prompt.instrument.name}"


def typed_in(prompt: Measure) -> str:
    """The unit in which a measured value is typed: that of what shows it."""
    return prompt.unit if prompt.tool is None else prompt.tool.unit


def prevailing(session: Session, prompt: Measure, read: Typed, stamp: Stamp) -> e.PrevailingRead:
    """The line of a prevailing torque."""
    assert prompt.tool is not None
    return e.PrevailingRead(
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
        unusual=session.unusual_at(prompt.where.id),
    )


def fold_prevailing(plan: Plan, progress: Progress, event: e.PrevailingRead) -> Progress:
    """Prevailing torque of a locking nut; below the least allowed, or above its target, it is asked."""
    index = plan.index_of[event.step]
    position = plan.steps[index].position or ""
    before = standing(progress, position)
    # Unrounded: the line keeps fewer digits of it than the limits may want that it is added to.
    exact = through(progress, event.tool).at_fastener(units.convert(Decimal(event.value), event.unit, plan.unit))
    state = replace(
        before,
        fastener=replace(before.fastener, prevailing=exact.normalize()),
        latest=event.seq,
        latest_step=index,
        latest_what="prevailing torque",
        **showing(progress, event.tool),
    )
    progress = replace(
        answered(handled(progress), event, event.step), positions=progress.positions.insert(position, state)
    )
    if event.verdict != "within":
        cause = PREVAILING_CAUSES[event.verdict]
        return question(progress, event, cause, index, position, f"{event.value} {event.unit}")
    return progress


def fold(plan: Plan, progress: Progress, event: e.Measured, index: int) -> Progress:
    """A last torque after a turn, or the stretch between two pulls."""
    position = plan.steps[index].position or ""
    before = standing(progress, position)
    fastener = before.fastener
    if event.part == "final torque":
        fastener = pulled(fastener, Decimal(event.result), "reading", event.seq)
    found = told_beside(plan, index, event.part, event.value, event.unit, event.result)
    if event.verdict == "over":
        fastener = told_over(fastener, event.seq, index, found)
    state = replace(
        before,
        fastener=fastener,
        latest=event.seq,
        latest_step=index,
        latest_what=event.part,
        **showing(progress, event.tool),
    )
    if event.part == "final torque":
        state = replace(state, last_value=event.value)
    else:
        state = replace(state, stretched=(state.attempt, Decimal(event.result)))
    if event.verdict == "within":
        return read_at_the_end(plan, progress, index, state)
    if event.part == "stretch" and event.verdict == "under":
        return settle(plan, progress, index, replace(state, awaiting=None), "under", finished=False)
    cause: Why = "stretch beyond its window" if event.part == "stretch" else outside_at_the_end(plan, index)
    kept = settle(plan, progress, index, state, "over" if event.verdict == "over" else "under", finished=False)
    return ask_about(kept, Question(cause=cause, about=event.seq, step=index, positions=(position,), found=found))


def acts_of_prevailing(line: Line, event: e.PrevailingRead) -> tuple[Act, ...]:
    """The torque that ran it down."""
    told = judged(event.verdict, event.window, event.at_fastener, line.plan.unit)
    read: dict[str, Any] = {"value": event.value, "unit": event.unit, "at_fastener": event.at_fastener}
    return (line.act("prevailing torque", event.step, tool=event.tool, **read, **told),)


def acts(line: Line, event: e.Measured, part: Literal["final torque", "stretch"]) -> tuple[Act, ...]:
    """A last torque is judged in the plan's unit, a stretch in that of its window."""
    stage = line.plan.stage_of(line.step(event.step))
    unit = line.plan.unit if part == "final torque" else event.unit
    if part == "stretch" and isinstance(stage, Tighten) and stage.stretch is not None:
        unit = stage.stretch.window.unit
    told = judged(event.verdict, event.window, event.result, unit)
    there = event.result if part == "final torque" else None
    read: dict[str, Any] = {"value": event.value, "unit": event.unit, "at_fastener": there}
    return (line.act(part, event.step, tool=event.tool, **read, **told),)


def tell_prevailing(event: e.PrevailingRead, plan: Plan) -> str:
    """That it was stored, or how it was judged."""
    word = "saved" if event.verdict == "within" else marked(event.verdict)
    told = f"prevailing torque {show_exactly(Decimal(event.value), event.unit)}"
    return f"{started(word)}: {position_of(event.step, plan)}, {told}."


def tell_final_torque(event: e.Measured, plan: Plan) -> str:
    """Tell how it was judged, and what was read."""
    word = marked(event.verdict) if event.window is not None else "saved"
    shown = with_bolt(event.value, event.unit, event.result, event.window, plan)
    return f"{started(word)}: {position_of(event.step, plan)}, {shown}."
