"""The findings of a check as one JSON object: keys that scripts rely on, deviations in percent."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from msgspec import to_builtins

from clampbook.check.compared import differs
from clampbook.check.figures import Figures, together
from clampbook.check.judging import AtPoint, Judgement, OfSeries
from clampbook.check.loading import both
from clampbook.check.plan import CheckPlan, Phase
from clampbook.check.progress import Progress
from clampbook.check.rests_on import rests_on
from clampbook.check.surely_off import surely_off

_PLACES = 6


def of_check(name: str, plan: CheckPlan, progress: Progress) -> dict[str, Any]:
    """The whole check. The keys at its top are those of the latest phase that has readings."""
    found, left = both(plan, progress)
    latest = left or found
    pooled = None if latest is None else together(latest.pooled)
    return {
        "check": name,
        "tool": plan.tool.id,
        "reference": None if plan.reference is None else plan.reference.id,
        "state": progress.ended or "open",
        **figured(pooled),
        "verdict": None if latest is None else latest.verdict,
        "permissible_deviation": _percent(plan.permissible),
        "as_found": None if found is None else found.verdict,
        "as_left": None if left is None else left.verdict,
        "adjusted": progress.adjusted,
        "temperature": None if progress.temperature is None else _quantity(Decimal(progress.temperature), "°C"),
        "series": [*_series(plan, "as found", found), *_series(plan, "as left", left)],
        "beside": [*_beside(plan, "as found", found), *_beside(plan, "as left", left)],
        "at_the_joint": [*_joint("as found", found), *_joint("as left", left)],
        "rests_on": to_builtins(rests_on(plan)),
    }


def figured(found: Figures | None) -> dict[str, Any]:
    """Figures as keys; all None where nothing was pulled."""
    if found is None:
        return dict.fromkeys(("mean_deviation", "worst_deviation", "spread", "standard_deviation", "drift"))
    return {
        "mean_deviation": _percent(found.mean),
        "worst_deviation": _percent(found.worst),
        "spread": _percent(found.spread),
        "standard_deviation": None if found.scatter is None else _percent(found.scatter),
        "drift": _percent(found.drift),
    }


def _series(plan: CheckPlan, phase: str, found: Judgement | None) -> list[dict[str, Any]]:
    return [] if found is None else [_one(plan, phase, each) for each in found.series]


def _one(plan: CheckPlan, phase: str, each: OfSeries) -> dict[str, Any]:
    way = {"phase": phase, "technique": each.series.technique, "direction": each.series.direction}
    points = [_point(plan, point) for point in each.points]
    return {**way, **_counted(each.figures), "verdict": each.verdict, "points": points}


def _point(plan: CheckPlan, each: AtPoint) -> dict[str, Any]:
    known = None if each.guard is None else _percent(each.guard)
    at = _quantity(each.point.value, plan.tool.unit)
    far = [number + 1 for number in each.far]
    return {"point": at, **_counted(each.figures), "known_to": known, "verdict": each.verdict, "far_from_others": far}


def _joint(phase: Phase, found: Judgement | None) -> list[dict[str, Any]]:
    """The points at which the tool surely reads off, with the sign of its deviation there."""
    facts = () if found is None else surely_off(found, phase)
    return [{**to_builtins(each), "sign": 1 if each.reads == "high" else -1} for each in facts]


def _counted(found: Figures | None) -> dict[str, Any]:
    return {"readings": 0 if found is None else found.n, **figured(found)}


def _beside(plan: CheckPlan, phase: str, found: Judgement | None) -> list[dict[str, Any]]:
    return [
        {
            "phase": phase,
            "point": _quantity(each.point.value, plan.tool.unit),
            "direction": each.first.direction,
            "technique": each.second.technique,
            "beside": each.first.technique,
            "difference": _percent(each.apart.mean),
            "differs": differs(each.apart) or "not told",
            "interval": None
            if each.apart.low is None or each.apart.high is None
            else {"from": _percent(each.apart.low), "to": _percent(each.apart.high)},
            "degrees_of_freedom": None if each.apart.freedom is None else round(each.apart.freedom, _PLACES),
        }
        for each in (found.beside if found is not None else ())
    ]


def _percent(value: Decimal) -> dict[str, Any]:
    return _quantity(round(value, _PLACES), "%")


def _quantity(value: Decimal, unit: str) -> dict[str, Any]:
    return {"value": float(value), "unit": unit}
