"""The steps of a plan in lines, as they will be walked: each stage before its first step, and a line for each step."""

from __future__ import annotations

from clampbook.procedure.model import Stage
from clampbook.record.pages.stage_words import aside, wants
from clampbook.run.plan import Plan, Step
from clampbook.run.told.places import stage_at
from clampbook.run.told.torques import show_torque
from clampbook.text import started
from clampbook.tools.aim import Direction, loosening, tightening
from clampbook.units import show, show_span


def heading(planned: Plan, stage: Stage) -> str:
    """The stage before its first step, in the words of the report."""
    beside = aside(stage, planned)
    named = f"{started(stage_at(planned, stage.number))}: {wants(stage, planned.unit)}"
    return f"{named} · {beside}" if beside else named


def line(planned: Plan, step: Step) -> str:
    """One step: its number and name, what is done where, its target and its window."""
    named = f"round {step.round} of {step.group}" if step.group else ""
    return _joined(f"{step.number:>4}  {step.id:<10}", step.kind, named, *_figures(planned, step))


def short_line(planned: Plan, step: Step) -> str:
    """The same below the heading of its stage, where columns are few."""
    return _joined(f"{step.number:>4}  {step.id:<7}", *_figures(planned, step))


def _joined(*parts: str) -> str:
    return "  ".join(part for part in parts if part)


def _figures(planned: Plan, step: Step) -> tuple[str, ...]:
    place = f"position {step.position}" if step.position is not None else _at_a_gate(planned, step)
    unit = step.unit or ""
    target = "" if step.target is None else show_torque(step.target, unit) if unit != "°" else show(step.target, unit)
    window = "" if step.window is None or not unit else f"({show_span(*step.window, unit)})"
    return place, target, window, _way(planned, step)


def _at_a_gate(planned: Plan, step: Step) -> str:
    joint = planned.joint_at(None, step.stage)
    return step.set or step.point or ("all" if joint is None else joint.name)


def left_hand(planned: Plan, step: Step) -> bool:
    """True for a step at fasteners with a left-hand thread."""
    group = planned.group_named.get(step.group or "")
    return group is not None and group.left_hand


def direction(planned: Plan, step: Step) -> Direction | None:
    """Tell the way the fastener goes, seen from the tool; None where nothing is pulled, turned or loosened."""
    back = left_hand(planned, step)
    match step.kind:
        case "tighten" | "turn" | "align" | "recheck":
            return tightening(back)
        case "loosen":
            return loosening(back)
        case _:
            return None


def _way(planned: Plan, step: Step) -> str:
    """Said only of a left-hand thread."""
    way = direction(planned, step) if left_hand(planned, step) else None
    return "" if way is None else f"left-hand, {way}"
