"""A procedure as it will be walked, to be read before or in the middle of a run."""

from __future__ import annotations

from itertools import groupby

from clampbook.figures import show_span
from clampbook.procedure.naming import own
from clampbook.run.plan import Plan, Step
from clampbook.units import show


def heading(plan: Plan) -> str:
    """Title, joint, revision and status in one line."""
    named = (plan.title, plan.joint, f"revision {plan.revision}, {plan.status}")
    return " · ".join(part for part in named if part)


def lines(plan: Plan) -> tuple[str, ...]:
    """Source and cautions, groups, then the stages in order with their positions."""
    return (
        *((plan.source,) if plan.source else ()),
        *(f"! {caution}" for caution in plan.cautions),
        "",
        *_joints(plan),
        "# Groups",
        *_groups(plan),
        "",
        "# Stages",
        *_stages(plan),
        *(("", "# Due later", *(later.title for later in plan.due_later)) if plan.due_later else ()),
    )


def _joints(plan: Plan) -> tuple[str, ...]:
    """The joints of the run, and how they are walked."""
    if not plan.joints:
        return ()
    left_out = (f"left out in this run: {', '.join(plan.joints_left_out)}",) if plan.joints_left_out else ()
    return ("# Joints", f"{', '.join(joint.name for joint in plan.joints)}: {plan.joints_walked}", *left_out, "")


def _groups(plan: Plan) -> list[str]:
    told = []
    for name, (group, *_) in plan.alike.items():
        told.append(f"{name}: {', '.join(map(own, group.positions))}")
        fits = sorted(set(group.fits.values())) or ([group.thread] if group.thread else [])
        told += [f"  {fit}" for fit in fits]
        told += [f"  prepare: {line}" for line in group.prepare]
    return told


def _stages(plan: Plan) -> list[str]:
    told = []
    for _, members in groupby(plan.steps, key=lambda step: (step.stage, step.round)):
        steps = list(members)
        first = steps[0]
        positions = " ".join(own(step.position) for step in steps if step.position is not None)
        manual = plan.stage_of(first).manual
        named = f"{plan.numbered[first.stage]}.{first.round} {first.kind}" + (f", {first.group}" if first.group else "")
        told.append(f"{named}{_values(first)}{f' ({manual})' if manual else ''}")
        if positions:
            told.append(f"  {positions}")
    return told


def _values(step: Step) -> str:
    target = f": {show(step.target, step.unit)}" if step.target is not None and step.unit is not None else ""
    window = f", {show_span(*step.window, step.unit)}" if step.window is not None and step.unit is not None else ""
    return f"{target}{window}"
