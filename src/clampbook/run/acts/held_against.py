"""The measure of a corrected value: its window, what is taken off it, and what its tool can show."""

from __future__ import annotations

import dataclasses
from decimal import Decimal

from msgspec import Struct

from clampbook import units
from clampbook.procedure.model import Align, Measure, Tighten, Turn
from clampbook.run.answers import Refused, Unsure
from clampbook.run.fold.counts import AT_HAND, LEFT_OVER, NEW
from clampbook.run.fold.fastener import turned_so_far
from clampbook.run.fold.measured import kept_at, step_of_line, taken_off
from clampbook.run.gather.asking import (
    AGAIN,
)
from clampbook.run.gather.draft import Draft, Part, bare
from clampbook.run.in_hand.aim import prevailing_window
from clampbook.run.kinds.values import (
    Wrong,
    asked_again,
    typed_value,
    unusual_in,
)
from clampbook.run.plan import Step
from clampbook.run.progress import standing
from clampbook.run.prompts import Ends
from clampbook.run.session import BETWEEN_LINES, Session
from clampbook.tools.aim import OPEN, Aim, as_read
from clampbook.tools.lever import STRAIGHT
from clampbook.tools.model import Tool
from clampbook.units import Kind

NOTHING_YET = "Nothing to correct yet."


ON_A_TOOL = ("reading", "prevailing torque", "final torque", "recheck", "bad pull")


def line_meant(session: Session, of: int | None) -> tuple[int, Step | None, str | None] | Refused:
    """The line that is meant, its step, and what it holds; only the latest of a position, gate or question can be."""
    plan, progress = session.plan, session.progress
    line = of if of is not None else progress.last_answer
    if line == 0:
        return Refused(NOTHING_YET)
    if line == progress.last_answer and progress.last_answer_item is not None:
        return line, None, "item"
    if (measured := step_of_line(plan, progress, line)) is not None:
        return line, measured, "measure"
    if line == progress.last_answer and progress.last_answer_step is not None:
        step = plan.steps[plan.index_of[progress.last_answer_step]]
        if step.position is None:
            return line, step, "measure"
        state = standing(progress, step.position)
        if state.latest == line:
            return line, plan.steps[state.latest_step], state.latest_what
    for state in progress.positions.values():
        if state.latest == line and state.latest_step >= 0:
            return line, plan.steps[state.latest_step], state.latest_what
    for name, gate in progress.gates.items():
        if gate.latest == line:
            return line, plan.steps[plan.index_of[name]], "measure"
    for item, seq in progress.items.items():
        if seq == line and item.startswith(("ask:", AT_HAND, LEFT_OVER, NEW)):
            return line, None, "item"
    return Refused(f"Only the latest answer for a bolt can be changed. Write a note about line {line}.")


class Sought(Struct, frozen=True):
    """The measure of a corrected value: the procedure's unit and kind, the window it is judged by, and what is
    taken off it.
    """

    unit: str
    kind: Kind
    window: Ends | None
    off: Decimal = Decimal(0)


def sought_of(session: Session, step: Step, what: str) -> Sought:
    """The measure of a value of this kind at a step, as it is corrected now."""
    plan = session.plan
    state = standing(session.progress, step.position or "")
    stage = plan.stage_of(step)
    if what == "bad pull" and isinstance(stage, Turn):
        lost = state.fastener.turning
        so_far = (lost.before if lost is not None else None) or Decimal(0)
        return Sought("°", Kind.ANGLE, step.window or (None, None), -so_far)
    if what == "turn":
        turning = state.fastener.turning
        stroke = turning.stroke if turning is not None else None
        before = (turned_so_far(state.fastener, state.latest_step) or Decimal(0)) - (stroke or Decimal(0))
        return Sought("°", Kind.ANGLE, step.window or (None, None), -before)
    if what == "measure" and isinstance(stage, Measure):
        off = taken_off(plan, session.progress, step) or Decimal(0)
        return Sought(stage.unit, units.kind_of(stage.unit), step.window or (None, None), off)
    if what == "stretch" and isinstance(stage, Tighten) and stage.stretch is not None:
        window, off = stage.stretch.window, taken_off(plan, session.progress, step) or Decimal(0)
        return Sought(window.unit, units.kind_of(window.unit), (window.low, window.high), off)
    return Sought(plan.unit, Kind.TORQUE, _torque_window(session, step, what))


def _torque_window(session: Session, step: Step, what: str) -> Ends | None:
    """Give the window that judges a torque, in the plan's unit; None where it is only stored."""
    plan = session.plan
    stage, state = plan.stage_of(step), standing(session.progress, step.position or "")
    if what == "prevailing torque":
        return prevailing_window(plan, step)
    if what == "final torque" and isinstance(stage, Align):
        return None, stage.at_most
    if what == "final torque" and isinstance(stage, Turn) and stage.final_torque is not None:
        return stage.final_torque.low, stage.final_torque.high
    # by what judged it, with the tool that it was read from; it may have been told for another step
    return None if state.judged_by is None else (_end(state.judged_by[0]), _end(state.judged_by[1]))


def _end(text: str | None) -> Decimal | None:
    return None if text is None else Decimal(text)


def instrument(session: Session, step: Step, what: str) -> Tool | None:
    """The tool that showed the value that is corrected, where that is known."""
    if what == "measure":
        kept = kept_at(session.plan, session.progress, step, step.point or "")
        return None if kept is None else kept.by
    return None if step.position is None else standing(session.progress, step.position).instrument


def _read_by(session: Session, step: Step, what: str, sought: Sought) -> Aim | Tool | None:
    """The same, for what it can show: of a torque with the window as its scale has it."""
    tool = instrument(session, step, what)
    if tool is None or sought.kind is not Kind.TORQUE:
        return tool
    state = standing(session.progress, step.position or "")
    return as_read(tool, state.reach, sought.window or OPEN, sought.unit)


def value_again(session: Session, draft: Draft, of: int | None) -> str | Part | Refused:
    """Take the corrected number. One that its tool cannot show, or shows no finer, or that looks like a slip of the
    hand, is asked for once more, as it is when it is typed first."""
    found, text = line_meant(session, of), draft.text("value")
    if isinstance(found, Refused) or found[1] is None or found[2] is None:
        return text
    step, what = found[1], found[2]
    sought = sought_of(session, step, what)
    if what not in ("measure", "stretch") and sought.kind is not Kind.TORQUE:
        return text  # a turn: no gauge has a scale that ends
    by = _read_by(session, step, what, sought)
    reach = by.through if isinstance(by, Aim) else STRAIGHT

    def doubted(typed: str) -> Unsure | None:
        default = sought.unit if by is None else by.tool.unit if isinstance(by, Aim) else by.unit
        read = typed_value(typed, sought.kind, default, sought.unit, (None, None), with_unit=False, through=reach)
        if isinstance(read, Wrong):
            return None  # refused when it is decided, with what can be typed
        own = sought.window if sought.window is not None and not sought.off else None
        unusual = None if own is None else unusual_in(read, None, own, sought.kind)
        return asked_again(dataclasses.replace(session, unusual=None), step.id, read, unusual, by)

    doubt = doubted(text)
    if doubt is None:
        return text
    if not draft.has(AGAIN):
        return Part(AGAIN, doubt.unusual, "number")
    again = draft.text(AGAIN)
    doubt = doubted(again) if bare(again) else None
    if doubt is None or doubt.code == BETWEEN_LINES:
        return again
    return Refused(f"{doubt.unusual} Nothing changed.")
