"""A stage of the plan for scripts: all that it asks for beside what stands at each of its steps."""

from __future__ import annotations

from decimal import Decimal
from typing import Any, assert_never

from clampbook.procedure.model import (
    LAST_PULL,
    Align,
    Attested,
    Inspect,
    Loosen,
    Measure,
    Pulled,
    Recheck,
    Sample,
    Stage,
    Stretch,
    Tighten,
    Turn,
    Wait,
    Window,
    sample_of,
)
from clampbook.run.plan import Plan


def of_stage(plan: Plan, stage: Stage) -> dict[str, Any]:
    """Its number in the plan and, of several joints, at its own one; what it needs, and its limits."""
    joint, sample = plan.joint_of_stage.get(stage.number), sample_of(stage)
    told = {
        "stage": stage.number,
        "joint": None if joint is None else joint.name,
        "stage_at_joint": None if not plan.joints else plan.numbered[stage.number],
        "kind": str(stage.__struct_config__.tag),
        "group": stage.group,
        "adapter": stage.through if isinstance(stage, Pulled) else None,
        "sample": None if sample is None else _sample(sample),
        **_of_its_kind(stage, plan),
    }
    return {key: value for key, value in told.items() if value is not None}


def _of_its_kind(stage: Stage, plan: Plan) -> dict[str, Any]:
    if isinstance(stage, Attested):
        return _attested(stage, plan)
    match stage:
        case Tighten():
            return {} if stage.stretch is None else _stretched(stage.stretch)
        case Turn():
            return {"judged_by": stage.judged_by, "final_torque": _window(stage.final_torque)}
        case Align():
            at_most = None if stage.at_most is None else _quantity(stage.at_most, plan.unit)
            return {"slot": _quantity(stage.slot, "°"), "at_most": at_most, "lock": stage.lock}
        case Measure():
            return _measured(stage)
        case Recheck():
            return _rechecked(stage)
        case Loosen():
            return {}
        case _ as never:
            assert_never(never)


def _attested(stage: Attested, plan: Plan) -> dict[str, Any]:
    """Somebody says that it is so: only a look and a wait have more to tell."""
    if isinstance(stage, Inspect):
        return {"ask": stage.ask, "expect": stage.expect, "hold_point": stage.hold_point or None}
    if isinstance(stage, Wait):
        named = stage.since not in (None, LAST_PULL)
        return {
            "for": _quantity(stage.lasts, "s"),
            "since": None if named else stage.since,
            "since_stages": list(plan.numbers_of(str(stage.since), stage.number)) if named else None,
        }
    return {}


def _rechecked(stage: Recheck) -> dict[str, Any]:
    return {
        "method": stage.method,
        "back_off": None if stage.back_off is None else _quantity(stage.back_off, "°"),
        "still": None if stage.still is None else _quantity(stage.still, "°"),
        "until_still": stage.until_still or None,
        "at_most": stage.at_most if stage.until_still else None,
    }


def _stretched(stretch: Stretch) -> dict[str, Any]:
    never = stretch.never_above
    return {"stretch": _window(stretch.window), "never_above": _quantity(never.value, never.unit)}


def _measured(stage: Measure) -> dict[str, Any]:
    adjust = stage.adjust
    return {
        "what": stage.what,
        "unit": stage.unit,
        "window": _window(stage.window),
        "points": list(stage.points) or None,
        "spread": None if stage.spread is None else _quantity(stage.spread.value, stage.spread.unit),
        "all_but": stage.all_but,
        "tensions": stage.tensions or None,
        "adjust": {"back_to": adjust.back_to, "at_most": adjust.at_most} if adjust else None,
    }


def _sample(sample: Sample) -> dict[str, Any]:
    share = None if sample.share is None else float(sample.share)
    return {"percent": share, "at_least": sample.least, "if_one_fails": sample.then.replace(" ", "_")}


def _window(window: Window | None) -> list[dict[str, Any] | None] | None:
    if window is None:
        return None
    return [None if end is None else _quantity(end, window.unit) for end in (window.low, window.high)]


def _quantity(value: Decimal, unit: str) -> dict[str, Any]:
    return {"value": float(value), "unit": unit}
